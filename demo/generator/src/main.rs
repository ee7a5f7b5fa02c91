//! Writes the demo's days on the dyno: `cargo run -p shortblock-demo -- demo`.

use std::path::Path;
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [folder] = &arguments[..] else {
        eprintln!(
            "usage: shortblock-demo OUT_DIR\nhint: OUT_DIR is demo, from the repository's root"
        );
        return ExitCode::from(2);
    };
    for file in shortblock_demo::files() {
        let path = Path::new(folder).join(&file.path);
        let written = path.parent().map_or(Ok(()), std::fs::create_dir_all);
        if let Err(error) = written.and_then(|()| std::fs::write(&path, &file.bytes)) {
            eprintln!("{}: cannot be written: {error}", path.display());
            return ExitCode::FAILURE;
        }
        println!("{:>7} bytes  {}", file.bytes.len(), path.display());
    }
    ExitCode::SUCCESS
}
