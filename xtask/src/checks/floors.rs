//! The three floors: `physics` knows nothing above it, `shop` nothing of `app`, and an edge of the
//! program (terminal, database, network, Python) is known to one crate only.

use crate::cargo::Package;

const FLOORS: [&str; 3] = ["physics", "shop", "app"];

/// Libraries that belong to one edge, and the packages that may name them.
const EDGES: [(&str, &[&str]); 6] = [
    ("clap", &["shortblock-cli"]),
    ("sqlx", &["shortblock-book"]),
    ("rusqlite", &["shortblock-book"]),
    ("axum", &["shortblock-web"]),
    ("tower-http", &["shortblock-web"]),
    ("pyo3", &["shortblock-python"]),
];

/// Libraries that bring threads, logs, a clock or the network below `app`.
const IMPURE: [&str; 9] =
    ["rayon", "tokio", "log", "tracing", "indicatif", "reqwest", "ureq", "hyper", "memmap2"];

/// Faults in how packages depend on each other and in their names.
pub fn faults(packages: &[Package]) -> Vec<String> {
    packages.iter().flat_map(|p| [edges(p, packages), naming(p)].concat()).collect()
}

fn edges(package: &Package, all: &[Package]) -> Vec<String> {
    let mut faults = Vec::new();
    let own = floor(package);
    for dependency in &package.dependencies {
        let name = dependency.name.as_str();
        let from = format!("{}: depends on {name}", package.folder);
        let above = all.iter().find(|p| p.name == name).and_then(floor);
        if let (Some(own), Some(above)) = (own, above)
            && above > own
        {
            faults.push(format!(
                "{from}, which is on the floor above; pass what is needed in, or move the code up"
            ));
        }
        if let Some((_, allowed)) = EDGES.iter().find(|(edge, _)| *edge == name)
            && !allowed.contains(&package.name.as_str())
        {
            faults.push(format!("{from}; only {} may", allowed.join(", ")));
        }
        if own.is_some_and(|f| f < 2) && !dependency.dev && IMPURE.contains(&name) {
            faults.push(format!("{from}; no threads, logs, clock or network below app"));
        }
    }
    faults
}

fn naming(package: &Package) -> Vec<String> {
    let mut faults = Vec::new();
    let folder = package.folder.rsplit('/').next().unwrap_or_default();
    if floor(package).is_some() && package.name != format!("shortblock-{folder}") {
        faults.push(format!("{}: its package should be shortblock-{folder}", package.folder));
    }
    if package.folder.starts_with("crates/") && floor(package).is_none() {
        faults.push(format!("{}: is on none of the floors {FLOORS:?}", package.folder));
    }
    if package.build_script {
        faults.push(format!("{}: has a build script; building must only compile", package.folder));
    }
    faults
}

/// 0 for physics, 1 for shop, 2 for app.
fn floor(package: &Package) -> Option<usize> {
    let name = package.folder.strip_prefix("crates/")?.split('/').next()?;
    FLOORS.iter().position(|f| *f == name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cargo::Dependency;

    fn package(folder: &str, needs: &[&str], dev: bool) -> Package {
        let name = format!("shortblock-{}", folder.rsplit('/').next().unwrap_or_default());
        let dependencies = needs.iter().map(|n| Dependency { name: n.to_string(), dev }).collect();
        Package { name, folder: folder.to_string(), dependencies, build_script: false }
    }

    fn count(packages: &[Package]) -> usize {
        faults(packages).len()
    }

    #[test]
    fn a_floor_may_use_its_own_and_those_below() {
        let gas = package("crates/physics/gas", &[], false);
        let flow = package("crates/physics/flow", &["shortblock-gas"], false);
        let plan = package("crates/shop/plan", &["shortblock-flow"], false);
        let cli = package("crates/app/cli", &["shortblock-plan", "clap", "rayon"], false);
        assert_eq!(count(&[gas, flow, plan, cli]), 0);
    }

    #[test]
    fn a_dependency_upwards_is_a_fault_even_for_tests() {
        let plan = package("crates/shop/plan", &[], false);
        for dev in [false, true] {
            let gas = package("crates/physics/gas", &["shortblock-plan"], dev);
            assert_eq!(count(&[gas, plan.clone()]), 1);
        }
    }

    #[test]
    fn an_edge_belongs_to_one_crate() {
        assert_eq!(count(&[package("crates/app/cli", &["sqlx"], false)]), 1);
        assert_eq!(count(&[package("crates/app/book", &["sqlx"], false)]), 0);
    }

    #[test]
    fn threads_below_app_are_a_fault_outside_tests() {
        assert_eq!(count(&[package("crates/shop/plan", &["rayon"], false)]), 1);
        assert_eq!(count(&[package("crates/shop/plan", &["rayon"], true)]), 0);
    }

    #[test]
    fn a_build_script_a_strange_name_and_a_strange_floor_are_faults() {
        let mut gas = package("crates/physics/gas", &[], false);
        gas.build_script = true;
        assert_eq!(count(&[gas.clone()]), 1);
        gas.build_script = false;
        gas.name = "gas".to_string();
        assert_eq!(count(&[gas]), 1);
        assert_eq!(count(&[package("crates/common/gas", &[], false)]), 1);
    }
}
