//! Bytes to text: which encoding a file is in.

use crate::log::Warning;
use encoding_rs::{Encoding, SHIFT_JIS, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};
use std::borrow::Cow;

/// How many bytes are looked at to tell 16-bit text and text at all.
const HEAD: usize = 4096;

/// The text of a file.
pub struct Decoded<'a> {
    /// Without byte order mark.
    pub text: Cow<'a, str>,
    /// Name of the encoding in the WHATWG standard.
    pub encoding: &'static str,
    /// Set where some bytes fit no encoding.
    pub flaw: Option<Warning>,
}

/// Returns the text of the bytes, or `None` where they are no text. A byte order mark decides; else
/// zeros in every second byte mean UTF-16, valid UTF-8 is that, pairs as Japanese text has them are
/// Shift_JIS, and the rest is Windows-1252, of which Latin-1 is a part.
pub fn decode(bytes: &[u8]) -> Option<Decoded<'_>> {
    if let Some((encoding, mark)) = Encoding::for_bom(bytes) {
        return Some(decode_as(encoding, bytes.get(mark..).unwrap_or_default()));
    }
    if let Some(encoding) = sixteen_bits(bytes) {
        return Some(decode_as(encoding, bytes));
    }
    if !is_text(bytes) {
        return None;
    }
    Some(match std::str::from_utf8(bytes) {
        Ok(text) => Decoded { text: Cow::Borrowed(text), encoding: UTF_8.name(), flaw: None },
        Err(_) if mostly_utf8(bytes) => decode_as(UTF_8, bytes),
        Err(_) if is_shift_jis(bytes) => decode_as(SHIFT_JIS, bytes),
        Err(_) => decode_as(WINDOWS_1252, bytes),
    })
}

fn decode_as<'a>(encoding: &'static Encoding, bytes: &'a [u8]) -> Decoded<'a> {
    let (text, flawed) = encoding.decode_without_bom_handling(bytes);
    let flaw = flawed.then(|| Warning {
        line: text.find('\u{FFFD}').map(|at| 1 + lines_before(&text, at)),
        column: None,
        text: format!("bytes that are no {}; each is shown as \u{FFFD}", encoding.name()),
    });
    Decoded { text, encoding: encoding.name(), flaw }
}

fn lines_before(text: &str, at: usize) -> usize {
    text.as_bytes().iter().take(at).filter(|&&byte| byte == b'\n').count()
}

/// UTF-16 without a mark: plain characters have a zero as their upper byte.
fn sixteen_bits(bytes: &[u8]) -> Option<&'static Encoding> {
    let (pairs, _) = bytes[..bytes.len().min(HEAD)].as_chunks::<2>();
    let zeros = |place: usize| pairs.iter().filter(|pair| pair[place] == 0).count();
    let (first, second) = (zeros(0), zeros(1));
    let most = |many: usize, few: usize| many * 2 > pairs.len() && few * 20 < pairs.len();
    if most(second, first) {
        Some(UTF_16LE)
    } else if most(first, second) {
        Some(UTF_16BE)
    } else {
        None
    }
}

/// False where more than a twentieth of the first bytes are control characters.
fn is_text(bytes: &[u8]) -> bool {
    let head = &bytes[..bytes.len().min(HEAD)];
    let odd = |byte: &&u8| **byte < 32 && !matches!(**byte, b'\t' | b'\n' | b'\r' | 0x0C | 0x1A);
    head.iter().filter(odd).count() * 20 <= head.len()
}

/// True where the bytes can be Shift_JIS and most of what is not ASCII begins with 0x81 to 0x9F: kana
/// and the commonest ideographs do, and in Windows-1252 those are quotation marks and dashes.
fn is_shift_jis(bytes: &[u8]) -> bool {
    if SHIFT_JIS.decode_without_bom_handling_and_without_replacement(bytes).is_none() {
        return false;
    }
    let (mut common, mut others) = (0_usize, 0_usize);
    let mut rest = bytes;
    while let [first, after @ ..] = rest {
        rest = match *first {
            0x81..=0x9F => {
                common += 1;
                after.get(1..).unwrap_or_default()
            }
            0xE0..=0xFC => {
                others += 1;
                after.get(1..).unwrap_or_default()
            }
            0xA1..=0xDF => {
                others += 1;
                after
            }
            _ => after,
        };
    }
    common > 1 && common >= others
}

/// True where the bytes hold more characters of several bytes than bytes that fit none: UTF-8 with
/// damage rather than another encoding.
fn mostly_utf8(bytes: &[u8]) -> bool {
    let (mut good, mut bad) = (0_usize, 0_usize);
    for chunk in bytes.utf8_chunks() {
        good += chunk.valid().bytes().filter(|byte| byte & 0xC0 == 0xC0).count();
        bad += usize::from(!chunk.invalid().is_empty());
    }
    good > bad
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(bytes: &[u8], encoding: &str, text: &str) {
        let decoded = decode(bytes).expect("text");
        assert_eq!((decoded.encoding, &*decoded.text), (encoding, text));
    }

    /// Byte values: The Unicode Standard, section 3.10, and the WHATWG index of windows-1252.
    #[test]
    fn encodings_are_told_apart() {
        check("t [°C];n\n1;2\n".as_bytes(), "UTF-8", "t [°C];n\n1;2\n");
        check(b"\xEF\xBB\xBFt;n\n", "UTF-8", "t;n\n");
        check(b"t [\xB0C];n\n", "windows-1252", "t [°C];n\n");
        // JIS X 0208 rows of kana and ideographs in their Shift_JIS bytes (WHATWG index).
        check(b"\x8E\x9E\x8A\xD4;n\n1;2\n", "Shift_JIS", "時間;n\n1;2\n");
        check(b"\x83\x67\x83\x8B\x83\x4E [N\x81\x45m]\n", "Shift_JIS", "トルク [N・m]\n");
        check(
            b"Pr\xFCfstand \x96 K\xFChlung, \xD6l\n",
            "windows-1252",
            "Prüfstand – Kühlung, Öl\n",
        );
        check(b"\xFF\xFEt\0;\0\xB0\0", "UTF-16LE", "t;°");
        check(b"\xFE\xFF\0t\0;\0\xB0", "UTF-16BE", "t;°");
        check(b"t\0;\0n\0\n\x001\0;\x002\0", "UTF-16LE", "t;n\n1;2");
        check(b"\0t\0;\0n\0\n\x001\0;\x002", "UTF-16BE", "t;n\n1;2");
    }

    #[test]
    fn a_flaw_in_utf8_is_said_with_its_line() {
        let decoded = decode(b"a \xC2\xB0\nb \xC2\xB0 \xFF\n").expect("text");
        assert_eq!(decoded.encoding, "UTF-8");
        assert_eq!(decoded.flaw.and_then(|flaw| flaw.line), Some(2));
    }

    #[test]
    fn control_characters_are_no_text() {
        assert!(decode(&[0, 1, 2, 3, 4, 5, 6, 200]).is_none());
    }
}
