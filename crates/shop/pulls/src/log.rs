//! A log as it was written: columns with the names, units and numbers of the file.

/// Everything that was read of one file.
#[derive(Debug, Clone, PartialEq)]
pub struct Log {
    /// Columns that share a clock; one group from a text file, one a rate from a measurement file.
    pub groups: Vec<Group>,
    /// Lines before the headings and after the last row that are no data, in their order.
    pub remarks: Vec<String>,
    /// What was odd and what was done about it.
    pub warnings: Vec<Warning>,
}

/// Columns sampled together.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// Name of the group, empty where the file has none.
    pub name: String,
    /// Columns in the order of the file, all of one length.
    pub columns: Vec<Column>,
}

/// One column as written.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Heading as written, without the unit where that stood in it.
    pub name: String,
    /// Unit as written, empty where none is.
    pub unit: String,
    /// Numbers in that unit, one a row; not a number where a sample is missing.
    pub values: Vec<f64>,
}

/// Something the reader met and got over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Warning {
    /// Line of the file, counted from 1, where there is one.
    pub line: Option<usize>,
    /// Heading of the column, where it is about one.
    pub column: Option<String>,
    /// What was met and what was done.
    pub text: String,
}

impl Group {
    /// Number of rows, 0 without columns.
    pub fn rows(&self) -> usize {
        self.columns.first().map_or(0, |column| column.values.len())
    }
}
