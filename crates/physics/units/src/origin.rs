//! Where a value comes from.

/// Where a value comes from. Shown as mark *and* word, never by colour alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Origin {
    /// An instrument was on it.
    Measured,
    /// Somebody says so; the default of what is typed.
    Given,
    /// Printed by the maker of the part.
    Maker,
    /// Nobody said; filled in by the program.
    Assumed,
    /// Worked out from other values here.
    WorkedOut,
    /// Found by the model.
    Predicted,
}

impl Origin {
    /// Every origin, in the order of the legend.
    pub const ALL: [Origin; 6] = [
        Origin::Measured,
        Origin::Given,
        Origin::Maker,
        Origin::Assumed,
        Origin::WorkedOut,
        Origin::Predicted,
    ];

    /// Returns the word shown beside the mark.
    pub fn word(self) -> &'static str {
        match self {
            Origin::Measured => "measured",
            Origin::Given => "given",
            Origin::Maker => "maker's figure",
            Origin::Assumed => "assumed",
            Origin::WorkedOut => "worked out",
            Origin::Predicted => "predicted",
        }
    }

    /// Returns the word used in files, CSV and JSON.
    pub fn key(self) -> &'static str {
        match self {
            Origin::Maker => "maker",
            Origin::WorkedOut => "worked_out",
            other => other.word(),
        }
    }

    /// Returns the origin of a [`key`](Origin::key), or `None`.
    pub fn from_key(key: &str) -> Option<Origin> {
        Origin::ALL.into_iter().find(|origin| origin.key() == key)
    }

    /// Returns the mark: filled, half, card, equals, dotted, hatched.
    pub fn mark(self) -> char {
        match self {
            Origin::Measured => '●',
            Origin::Given => '◐',
            Origin::Maker => '▤',
            Origin::Assumed => '◌',
            Origin::WorkedOut => '=',
            Origin::Predicted => '◇',
        }
    }

    /// Returns the mark for terminals that show plain ASCII only.
    pub fn plain_mark(self) -> char {
        match self {
            Origin::Measured => '*',
            Origin::Given => 'o',
            Origin::Maker => '#',
            Origin::Assumed => '?',
            Origin::WorkedOut => '=',
            Origin::Predicted => '~',
        }
    }

    /// True when a person may write this origin in a file; the others only the program gives.
    pub fn may_be_typed(self) -> bool {
        !matches!(self, Origin::WorkedOut | Origin::Predicted)
    }

    /// True when a value of this origin is used before one of `other`: measured before given before
    /// maker's before assumed. Worked out and predicted values never compete with typed ones.
    pub fn outranks(self, other: Origin) -> bool {
        self.may_be_typed() && other.may_be_typed() && self.rank() < other.rank()
    }

    fn rank(self) -> usize {
        Origin::ALL.iter().position(|origin| *origin == self).unwrap_or(Origin::ALL.len())
    }
}

impl std::fmt::Display for Origin {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.word())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn measured_beats_given_beats_maker_beats_assumed() {
        let typed: Vec<Origin> = Origin::ALL.into_iter().filter(|o| o.may_be_typed()).collect();
        assert_eq!(typed, [Origin::Measured, Origin::Given, Origin::Maker, Origin::Assumed]);
        for (i, a) in typed.iter().enumerate() {
            for (j, b) in typed.iter().enumerate() {
                assert_eq!(a.outranks(*b), i < j);
            }
        }
    }

    #[test]
    fn what_the_model_says_never_beats_what_was_typed() {
        assert!(!Origin::Predicted.outranks(Origin::Assumed));
        assert!(!Origin::Measured.outranks(Origin::WorkedOut));
    }

    #[test]
    fn keys_and_marks_tell_origins_apart() {
        for a in Origin::ALL {
            assert_eq!(Origin::from_key(a.key()), Some(a));
            assert!(a.plain_mark().is_ascii());
            for b in Origin::ALL {
                assert_eq!(a == b, a.mark() == b.mark());
                assert_eq!(a == b, a.plain_mark() == b.plain_mark());
            }
        }
        assert_eq!(Origin::from_key("guessed"), None);
    }
}
