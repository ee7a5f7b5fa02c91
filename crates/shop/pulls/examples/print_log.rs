//! What does the reader find in a file? Prints every column of a log.
//!
//! `cargo run -p shortblock-pulls --example print_log FILE`
//!
//! One line a column: number of the group, heading, unit, values, parted by tabs; missing values are
//! `nan`, words stand as they are. Remarks and warnings go to the other stream.

use shortblock_pulls::{Log, read};

fn print(log: &Log) {
    for (place, group) in log.groups.iter().enumerate() {
        for column in &group.columns {
            let values: Vec<_> =
                column.values.iter().map(|v| format!("{v:?}").to_lowercase()).collect();
            println!("{place}\t{}\t{}\t{}", column.name, column.unit, values.join(" "));
        }
        for words in &group.words {
            let label = |row: &Option<u32>| match row {
                Some(label) => words.labels[*label as usize].clone(),
                None => "nan".to_string(),
            };
            let rows: Vec<_> = words.rows.iter().map(label).collect();
            println!("{place}\t{}\t\t{}", words.name, rows.join(" "));
        }
    }
}

fn main() {
    let path = std::env::args().nth(1).expect("a file to read");
    match read(&std::fs::read(path).expect("the file can be opened")) {
        Ok(log) => {
            print(&log);
            println!("started\t{}", log.started.as_deref().unwrap_or("-"));
            eprintln!("{:?}", log.form);
            log.remarks.iter().for_each(|remark| eprintln!("remark: {remark}"));
            for warning in &log.warnings {
                let line = warning.line.map_or(String::new(), |line| format!("line {line}, "));
                let column =
                    warning.column.as_ref().map_or(String::new(), |c| format!("\"{c}\": "));
                eprintln!("warning: {line}{column}{}", warning.text);
            }
        }
        Err(error) => {
            eprintln!("{error}");
            std::process::exit(2);
        }
    }
}
