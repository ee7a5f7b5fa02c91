//! Paths of the engine file as people type them.

use shortblock_engine::schema;

/// The path with the words used in the schema: short words and the trade's other words replaced.
pub fn used(path: &str) -> String {
    let short = schema::SHORT.iter().find(|(short, _)| *short == path);
    let path = short.map_or(path, |(_, long)| *long);
    let (table, last) = (schema::parent(path), schema::last(path));
    schema::alias_of(table, last).map_or(path.to_owned(), |word| schema::join(table, word))
}

#[cfg(test)]
mod tests {
    use super::used;

    #[test]
    fn short_and_other_words_lead_to_the_word_used_here() {
        assert_eq!(used("bore"), "bottom_end.bore");
        assert_eq!(used("intake.cam.lobe_center"), "intake.cam.centreline");
        assert_eq!(used("exhaust.primary"), "exhaust.primary");
    }
}
