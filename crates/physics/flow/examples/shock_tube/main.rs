//! Prints the profile of a Riemann problem as CSV and its error on standard error.
//!
//! `shock_tube CASE CELLS [COURANT]`, CASE as in `tests/data/riemann_star.csv`. The first line
//! of the output holds the mean absolute errors of density, velocity and pressure.

mod case;

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let Some((case, cells)) = parse(&args) else {
        eprintln!("usage: shock_tube CASE CELLS [COURANT]\ncases:");
        for name in case::TABLE.lines().filter(|l| !l.starts_with('#')).skip(1) {
            eprintln!("  {}", name.split(',').next().unwrap_or_default());
        }
        std::process::exit(2);
    };
    let courant = args.get(2).and_then(|a| a.parse().ok()).unwrap_or(0.9);
    let profile = case.run(cells, courant);
    let [rho, u, p] = case.error(&profile);
    println!("# L1_rho={rho:.6e} L1_u={u:.6e} L1_p={p:.6e}");
    println!("x,rho,u,p");
    for (i, [rho, u, p]) in profile.iter().enumerate() {
        println!("{:.8e},{rho:.8e},{u:.8e},{p:.8e}", (i as f64 + 0.5) / cells as f64);
    }
}

fn parse(args: &[String]) -> Option<(case::Case, usize)> {
    let cells = args.get(1)?.parse().ok().filter(|n| (10..=100_000).contains(n))?;
    Some((case::Case::find(args.first()?)?, cells))
}
