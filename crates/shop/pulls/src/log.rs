//! A log as it was written: columns with the names, units and numbers of the file.

/// Everything that was read of one file.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Log {
    /// Columns that share a clock: one group from a text file, more where tables of other columns
    /// follow in it; one a rate from a measurement file.
    pub groups: Vec<Group>,
    /// Lines before the headings, between the rows and after them that are no data, in their order.
    pub remarks: Vec<String>,
    /// What was odd and what was done about it.
    pub warnings: Vec<Warning>,
    /// How the file is written.
    pub form: Form,
    /// When the recording began as ISO 8601, with offset or `Z` where the file knows it; `None` where
    /// the file does not say.
    pub started: Option<String>,
    /// SHA-256 of the bytes as they came, 64 hexadecimal digits.
    pub hash: String,
}

/// How a file is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Form {
    /// Lines of text.
    Text(Dialect),
    /// ASAM MDF, with its version: `4.10`.
    Measurement(String),
}

/// How a text file is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Dialect {
    /// Name of the encoding in the WHATWG standard: `UTF-8`, `windows-1252`, `UTF-16LE`.
    pub encoding: &'static str,
    /// What stands between cells; a space stands for any run of spaces and tabs.
    pub delimiter: char,
    /// Decimal sign.
    pub decimal: char,
    /// Line of the first heading, counted from 1; `None` where the columns have no headings.
    pub heading_line: Option<usize>,
    /// Line of the first row, counted from 1.
    pub first_line: usize,
}

/// Columns sampled together.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Group {
    /// Name of the group, empty where the file has none.
    pub name: String,
    /// Columns of numbers in the order of the file, all of one length.
    pub columns: Vec<Column>,
    /// Columns of words, of the same length.
    pub words: Vec<Words>,
    /// Rows, rising and not 0, at which the file starts anew: the headings stand there again, or a
    /// blank line does and the first column goes back. Usually another pull pasted below.
    pub parts: Vec<usize>,
}

/// One column as written.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Column {
    /// Heading as written, without the unit where that stood in it.
    pub name: String,
    /// Unit as written, empty where none is. Clock times and dates are held in `s` since midnight of
    /// the first day.
    pub unit: String,
    /// Numbers in that unit, one a row; not a number where a sample is missing.
    pub values: Vec<f64>,
}

/// One column whose cells are words: a state, a gear by name, a note.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Words {
    /// Heading as written.
    pub name: String,
    /// The different words in the order in which they come.
    pub labels: Vec<String>,
    /// One a row: place in `labels`, or `None` where the cell is empty.
    pub rows: Vec<Option<u32>>,
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

impl Default for Form {
    /// Plain text with commas and points, the first line its headings.
    fn default() -> Self {
        Self::Text(Dialect::default())
    }
}

impl Default for Dialect {
    /// RFC 4180 in UTF-8: commas, decimal points, headings in line 1.
    fn default() -> Self {
        Self {
            encoding: "UTF-8",
            delimiter: ',',
            decimal: '.',
            heading_line: Some(1),
            first_line: 2,
        }
    }
}
