//! The nearest known word to a mistyped one.

/// The candidate nearest to `word`, when it is near enough to be meant.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let allowed = (word.chars().count().max(3)) / 3;
    let scored = candidates.into_iter().map(|c| (distance(word, c), c));
    scored.filter(|(d, _)| *d <= allowed).min_by_key(|(d, _)| *d).map(|(_, c)| c)
}

/// Edit distance with swaps of neighbours counted once (optimal string alignment); case and the
/// difference of `-`, `_` and space count nothing.
fn distance(a: &str, b: &str) -> usize {
    let (a, b) = (plain(a), plain(b));
    let mut rows = vec![vec![0usize; b.len() + 1]; a.len() + 1];
    for i in 0..=a.len() {
        for j in 0..=b.len() {
            rows[i][j] = if i == 0 || j == 0 {
                i + j
            } else {
                let change = usize::from(a[i - 1] != b[j - 1]);
                let mut best =
                    (rows[i - 1][j] + 1).min(rows[i][j - 1] + 1).min(rows[i - 1][j - 1] + change);
                if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                    best = best.min(rows[i - 2][j - 2] + 1);
                }
                best
            };
        }
    }
    rows[a.len()][b.len()]
}

/// At most 60 characters, lower case, separators alike.
fn plain(text: &str) -> Vec<char> {
    let alike = text.chars().take(60).map(|c| if c == '-' || c == ' ' { '_' } else { c });
    alike.flat_map(char::to_lowercase).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_find_the_word_and_nonsense_does_not() {
        let words = ["centreline", "duration", "lash", "lift"];
        assert_eq!(nearest("centerlien", words), Some("centreline"));
        assert_eq!(nearest("duratoin", words), Some("duration"));
        assert_eq!(nearest("zzzz", words), None);
    }
}
