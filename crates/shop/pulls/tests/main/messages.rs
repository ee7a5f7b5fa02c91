//! What a person is told of an odd file, word for word.

use shortblock_pulls::read;

/// Every warning on a line of its own.
fn warnings(text: &str) -> String {
    let log = read(text.as_bytes()).expect("a log");
    let line = |warning: &shortblock_pulls::Warning| {
        let line = warning.line.map_or(String::new(), |line| format!("line {line}: "));
        let column = warning.column.as_ref().map_or(String::new(), |column| format!("{column}: "));
        format!("{line}{column}{}", warning.text)
    };
    log.warnings.iter().map(line).collect::<Vec<_>>().join("\n")
}

fn check(text: &str, expected: &str) {
    assert_eq!(warnings(text), expected, "{text}");
}

fn refused(bytes: &[u8], expected: &str) {
    assert_eq!(read(bytes).expect_err("nothing to read").to_string(), expected);
}

#[test]
fn a_tidy_file_has_no_warnings() {
    check("Time [s],Speed [1/min]\n0.0,1500\n0.1,1510\n", "");
    check("Time;Speed\ns;1/min\n0,0;1500,5\n0,1;1510\n\nMax;1510\n", "");
}

#[test]
fn odd_cells_are_said_with_line_and_heading() {
    check(
        "Time,Speed,Torque\n0.1,1500,200\n0.2,15q0,201\n0.3,1520,fault\n0.4,1530,fault\n0.5,1540,204\n",
        "line 3: Speed: \"15q0\" is no number; read as missing\n\
         line 4: Torque: \"fault\" is no number; 2 such cells are read as missing",
    );
    check(
        "Time;Speed\n0.1;1500\n0,2;1510\n0.3;1520\n",
        "line 3: Time: \"0,2\" is no number; read as missing",
    );
    check(
        "Time,Speed\n00:01,1500\n00:02,1510\n00:03,1520\n",
        "Time: two figures and a colon: read as minutes and seconds",
    );
}

#[test]
fn odd_rows_are_said_with_their_line() {
    check(
        "Time,Speed,Torque,Oil\n0.1,1500,200,3\n0.2,1510,201\n0.3,1520,202,3,7\n0.4\n0.5,1540,204,3\n",
        "line 3: 3 cells for 4 columns; the others are read as missing\n\
         line 4: 5 cells for 4 columns; those behind the last are left out\n\
         line 5: 1 cell for 4 columns is no row; kept as a remark",
    );
    check(
        "Time,Speed,Torque,Oil\n0.1,1500,200,3\n0.2,1510,201,3\n0.3,1520,20",
        "line 4: the file ends within this row: 3 cells for 4 columns; the last and those that lack \
         are read as missing",
    );
    check(
        "Time,Speed\n0.1,1500\n0.2,1510\noil leak seen\n0.3,1520\n",
        "line 4: \"oil leak seen\" is no row; kept as a remark",
    );
}

#[test]
fn odd_headings_are_said() {
    check(
        "0.1,1500\n0.2,1510\n",
        "line 1: the columns have no headings; they are named by their place",
    );
    check(
        "Time,Lambda,Lambda\n0.1,0.90,0.91\n0.2,0.91,0.92\n",
        "line 1: Lambda: has the heading of another column; it is named \"Lambda (2)\"",
    );
    check(
        "Time,,Speed\n0.1,7,1500\n0.2,8,1510\n",
        "line 1: column 2: has no heading; it is named by its place",
    );
    check(
        "Time,Speed,Torque\n0,1,1500,200,5\n0,2,1510,201,5\n",
        "line 1: 3 headings for 5 columns; those without are named by their place. Where the comma is \
         the decimal sign too, export with semicolons",
    );
}

#[test]
fn what_is_in_doubt_is_said() {
    check(
        "Oil;Fuel\n1,234;2,345\n1,235;2,346\n",
        "\",\" is taken as the decimal sign; it could be a point, nothing in the file tells",
    );
    check(
        "Time,Boost\n0.1,30\n0.2,9999\n0.3,105\n",
        "Boost: 9999 lies far outside the rest; read as missing",
    );
    check(
        "Time,Speed\n0.1,9900\n0.2,9950\n0.3,9999\n",
        "Speed: 9999 could be a mark for a missing value; it is kept as a number",
    );
}

#[test]
fn tables_of_other_columns_are_other_groups() {
    let text = "Speed;Torque\n1500;200\n1600;210\n\nTime;Air;Barometer\n10;20;990\n11;21;991\n";
    let log = read(text.as_bytes()).expect("a log");
    let names = |group: &shortblock_pulls::Group| -> Vec<String> {
        group.columns.iter().map(|column| column.name.clone()).collect()
    };
    assert_eq!(
        log.groups.iter().map(names).collect::<Vec<_>>(),
        [vec!["Speed", "Torque"], vec!["Time", "Air", "Barometer"]]
    );
    assert_eq!(log.warnings, []);
}

#[test]
fn what_cannot_be_read_is_refused_with_a_remedy() {
    refused(b"", "the file is empty; export the log again and look that it has rows");
    refused(
        b"PK\x03\x04....",
        "the file is a spreadsheet or an archive; save the sheet as CSV and read that",
    );
    refused(
        &(0..=255).collect::<Vec<u8>>(),
        "the file is neither text nor a measurement file; export the log as CSV or as MDF 4",
    );
    refused(
        b"\nThe engine ran well,\nthey said.\n",
        "no table in 3 lines, the first \"The engine ran well,\": no rows of at least two numbers \
         beside each other; export the log as CSV with one row a sample and the headings above",
    );
}

/// `sha256sum` of the same bytes.
#[test]
fn the_hash_is_that_of_the_bytes() {
    let log = read(b"a,b\n1,2\n").expect("a log");
    assert_eq!(log.hash, "492d5ea496056f1a6a6592241032fab764c321596317930b4fa0e1e8bc3b7470");
}
