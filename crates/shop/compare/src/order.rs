//! The order pulls are made in.

use crate::CompareError;

/// Most pulls an order may hold.
const LONGEST: usize = 64;

/// Pulls of A (false) and B (true) in the order they are made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Order(Vec<bool>);

impl Order {
    /// Reads `ABBA`, `AAABBB` or, with counts, `A3B3A3`.
    ///
    /// # Errors
    /// [`CompareError::Order`] for anything else, and for more than 64 pulls.
    pub fn parse(text: &str) -> Result<Self, CompareError> {
        let fault = || CompareError::Order { text: text.to_string() };
        let mut pulls = Vec::new();
        let mut rest = text.trim();
        while let Some(letter) = rest.chars().next() {
            let b = match letter {
                'A' => false,
                'B' => true,
                _ => return Err(fault()),
            };
            rest = &rest[1..];
            let digits = rest.chars().take_while(char::is_ascii_digit).count();
            let count: usize =
                if digits == 0 { 1 } else { rest[..digits].parse().map_err(|_| fault())? };
            if pulls.len().saturating_add(count) > LONGEST {
                return Err(fault());
            }
            pulls.extend(std::iter::repeat_n(b, count));
            rest = &rest[digits..];
        }
        if pulls.is_empty() { Err(fault()) } else { Ok(Self(pulls)) }
    }

    /// True for each pull of B.
    pub fn pulls(&self) -> &[bool] {
        &self.0
    }

    /// Refit count of each pull: 0 at first, one more at every change between A and B.
    pub fn blocks(&self) -> Vec<u32> {
        let mut block = 0;
        let mut before = self.0[0];
        self.0
            .iter()
            .map(|&b| {
                block += u32::from(b != before);
                before = b;
                block
            })
            .collect()
    }

    /// Times the engine is changed over.
    pub fn changes(&self) -> u32 {
        self.blocks().last().copied().unwrap_or(0)
    }
}

impl std::fmt::Display for Order {
    /// Letters; with counts where that is shorter.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let letters: String = self.0.iter().map(|&b| if b { 'B' } else { 'A' }).collect();
        let mut counted = String::new();
        for block in self.0.chunk_by(|a, b| a == b) {
            counted.push(if block[0] { 'B' } else { 'A' });
            if block.len() > 1 {
                counted += &block.len().to_string();
            }
        }
        f.write_str(if letters.len() > 6 && counted.len() < 7 { &counted } else { &letters })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_and_letters_say_the_same() {
        assert_eq!(Order::parse("A3B3A3").unwrap(), Order::parse("AAABBBAAA").unwrap());
        assert_eq!(Order::parse("AAABBBAAA").unwrap().to_string(), "A3B3A3");
        assert_eq!(Order::parse("ABBABAAB").unwrap().to_string(), "ABBABAAB");
        assert_eq!(Order::parse("ABBA").unwrap().blocks(), [0, 1, 1, 2]);
        for wrong in ["", "ABC", "A99999999999999999999", "A65", "ä"] {
            assert!(Order::parse(wrong).is_err(), "{wrong}");
        }
    }
}
