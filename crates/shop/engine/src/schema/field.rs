//! One entry of the schema: a word of the engine file, what it means and what may stand there.

use shortblock_units::Quantity;

/// What may stand at a place of the engine file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// Free text.
    Text,
    /// A list of free texts, such as accessories or names of people.
    Texts,
    /// A date, `2026-03-28`.
    Date,
    /// `true` or `false`.
    Flag,
    /// One of these words.
    Choice(&'static [&'static str]),
    /// A whole number without unit.
    Count,
    /// A number without unit.
    Number,
    /// A number with a unit of this quantity.
    Quantity(Quantity),
    /// Several angles in one text, not one per cylinder.
    Angles,
    /// An opening: a diameter, or an area that is turned into the diameter of the equal circle.
    Opening,
    /// One or more durations in crank degrees, each at a checking lift.
    Durations,
    /// A valve event: an angle with BTDC, ATDC, BBDC or ABDC, at a checking lift.
    Event,
    /// A flow rated at a pressure drop, `700 cfm at 1.5 inHg`.
    FlowAtDrop,
    /// A pressure drop at a flow, `35 kPa at 0.20 kg/s` or `35 kPa at 225 hp`.
    DropAtFlow,
    /// A value wanted over a range of speed, `400 lb.ft from 3200 rpm to 5000 rpm`.
    Wish(&'static [Quantity]),
    /// A list of cylinder numbers.
    Cylinders,
    /// A list of lists of cylinder numbers.
    Groups,
    /// Columns with units, inline or from a CSV file.
    Table(&'static TableKind),
    /// A number, or a table over engine speed.
    NumberOrTable(&'static TableKind),
    /// An angle, a table over engine speed, or a request in words.
    SparkPlan(&'static TableKind),
    /// A blend: volume fractions by name of fuel, `{ ethanol = "10 %" }`.
    Blend,
    /// A list of tables, each with these fields.
    Entries(&'static [Field]),
}

/// A table's columns and the values that stand beside them.
#[derive(Debug, PartialEq)]
pub struct TableKind {
    /// Columns that may stand there; the first is the one the others are read over.
    pub columns: &'static [Column],
    /// Single values of the table, such as the test pressure of a flow sheet.
    pub beside: &'static [Field],
}

/// A column of a table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Column {
    /// Word of the heading, `lift` in `lift mm`.
    pub name: &'static str,
    /// Quantity; `None` for a number without unit.
    pub quantity: Option<Quantity>,
    /// What it is.
    pub help: &'static str,
}

/// A word of the engine file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Field {
    /// Keys with dots, from the table the field is declared for.
    pub path: &'static str,
    /// What may stand there.
    pub kind: Kind,
    /// One sentence for the documentation, the checker and the forms.
    pub help: &'static str,
    /// Whether one value per cylinder may be given with `each`.
    pub each: bool,
    /// Other words of the trade for the last key.
    pub aliases: &'static [&'static str],
}

impl Field {
    /// A field; one value for all cylinders, no other words.
    #[must_use]
    pub const fn new(path: &'static str, kind: Kind, help: &'static str) -> Self {
        Self { path, kind, help, each: false, aliases: &[] }
    }

    /// A field with a unit.
    #[must_use]
    pub const fn of(path: &'static str, quantity: Quantity, help: &'static str) -> Self {
        Self::new(path, Kind::Quantity(quantity), help)
    }

    /// The same field, one value per cylinder allowed.
    #[must_use]
    pub const fn each(mut self) -> Self {
        self.each = true;
        self
    }

    /// The same field with other words for its last key.
    #[must_use]
    pub const fn or(mut self, aliases: &'static [&'static str]) -> Self {
        self.aliases = aliases;
        self
    }
}
