//! What a user wrote, kept from being read as code.
//!
//! Text and attributes are escaped by the template macro. Two places are not HTML text: data in a script element, and
//! the digests of the content security policy.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use maud::{Markup, PreEscaped};
use serde_json::Value;
use sha2::{Digest, Sha256};

/// JSON for a script element. `<`, `>` and `&` could end the element or begin a comment, and U+2028 and U+2029 end a
/// line in older scripts, so all of them are written as escapes, which JSON reads back as the same text.
pub(in crate::report) fn json(value: &Value) -> Markup {
    let mut out = String::new();
    for c in value.to_string().chars() {
        match c {
            '<' | '>' | '&' | '\u{2028}' | '\u{2029}' => out.push_str(&format!("\\u{:04x}", u32::from(c))),
            c => out.push(c),
        }
    }
    PreEscaped(out)
}

/// The source expression of a content security policy that allows exactly this text.
pub(in crate::report) fn digest(text: &str) -> String {
    format!("'sha256-{}'", STANDARD.encode(Sha256::digest(text.as_bytes())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn data_cannot_leave_its_script() {
        let hostile = "</script><!--&\u{2028}\u{2029}\"'";
        let text = json(&serde_json::json!([hostile])).into_string();
        assert!(!text.contains(['<', '>', '&', '\u{2028}', '\u{2029}']), "{text}");
        assert_eq!(serde_json::from_str::<Vec<String>>(&text).unwrap(), [hostile]);
    }

    // FIPS 180-2, appendix B.1: SHA-256 of "abc" begins ba7816bf (from memory), which base64 writes ungWv
    #[test]
    fn a_digest_is_the_standard_one() {
        assert!(digest("abc").starts_with("'sha256-ungWv"));
    }
}
