//! What a piece of the list is, by its words.

use crate::plan::catalogue::{Size, sizes};

/// What a piece is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Kind {
    /// The diver's own body.
    Diver,
    /// A suit.
    Suit(Suit),
    /// The wing.
    Wing,
    /// Lead.
    Lead,
    /// A cylinder, of a size where its words name one.
    Cylinder(Option<&'static Size>),
    /// Anything else.
    Part,
}

/// What the words say of a suit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Suit {
    /// Of foam, mm.
    Wet(f64),
    /// With gas in it.
    Dry {
        /// Of foam itself.
        is_foam: bool,
    },
    /// A suit of which they say no more.
    Unclear,
}

/// The kind of a piece; one with a pressure is a cylinder whatever it is called.
pub(super) fn kind(piece: &str, has_pressure: bool) -> Kind {
    let size = size_in(piece);
    if has_pressure || size.is_some() {
        return Kind::Cylinder(size);
    }
    let words = words(piece);
    let has = |known: &[&str]| words.iter().any(|word| known.contains(&word.as_str()));
    let is_suit = has(&["suit", "wetsuit", "drysuit"]);
    match () {
        () if is_suit && has(&["dry", "drysuit"]) => Kind::Suit(Suit::Dry { is_foam: has(&["neoprene"]) }),
        () if is_suit => Kind::Suit(millimetres(&words).map_or(Suit::Unclear, Suit::Wet)),
        () if has(&["wing"]) => Kind::Wing,
        // a belt or a pocket for them is none
        () if has(&["lead", "weight", "weights"]) && !has(&["belt", "pocket", "pockets", "harness", "pouch"]) => {
            Kind::Lead
        }
        () if has(&["diver", "body"]) && words.len() <= 3 => Kind::Diver,
        () => Kind::Part,
    }
}

/// What is left of a cylinder's name without its size, and without marks at its ends.
pub(super) fn without_size(piece: &str, size: &Size) -> String {
    let letters: Vec<(usize, char)> = letters(piece);
    for name in [&size.name, &size.alias] {
        let wanted: Vec<char> = self::letters(name).into_iter().map(|(_, c)| c).collect();
        if wanted.is_empty() || letters.len() < wanted.len() {
            continue;
        }
        for start in 0..=letters.len() - wanted.len() {
            let found = &letters[start..start + wanted.len()];
            if found.iter().map(|(_, c)| *c).eq(wanted.iter().copied()) {
                let (from, last) = (found[0].0, found[found.len() - 1]);
                let to = last.0 + piece[last.0..].chars().next().map_or(0, char::len_utf8);
                let rest = format!("{} {}", &piece[..from], &piece[to..]);
                let rest = rest.split_whitespace().collect::<Vec<_>>().join(" ");
                return rest.trim_matches([' ', ',', ';', ':', '-', '(', ')']).to_owned();
            }
        }
    }
    piece.trim().to_owned()
}

/// The size that a text names: of several that fit, the longest name, for a twin's has the single one's in it.
fn size_in(piece: &str) -> Option<&'static Size> {
    let text: String = letters(piece).into_iter().map(|(_, c)| c).collect();
    let fits = |name: &str| {
        let name: String = letters(name).into_iter().map(|(_, c)| c).collect();
        let is_in = !name.is_empty() && text.match_indices(&name).any(|(at, _)| is_whole(&text, at, at + name.len()));
        is_in.then_some(name.len())
    };
    let length = |size: &Size| fits(&size.name).max(fits(&size.alias));
    sizes()
        .iter()
        .filter_map(|size| Some((length(size)?, size)))
        .max_by_key(|(length, _)| *length)
        .map(|(_, size)| size)
}

/// Whether no number is cut at either end.
fn is_whole(text: &str, from: usize, to: usize) -> bool {
    let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    let cut = |a: Option<char>, b: Option<char>| digit(a) && digit(b);
    !cut(text[..from].chars().next_back(), text[from..].chars().next())
        && !cut(text[..to].chars().next_back(), text[to..].chars().next())
}

/// The characters that count in the name of a size, with their places.
fn letters(text: &str) -> Vec<(usize, char)> {
    let kept = text.char_indices().filter(|(_, c)| !c.is_whitespace());
    kept.map(|(at, c)| (at, c.to_ascii_lowercase())).collect()
}

/// Words in small letters, numbers apart.
fn words(text: &str) -> Vec<String> {
    let mut spaced = String::new();
    let mut before = ' ';
    for c in text.to_lowercase().chars() {
        if before.is_ascii_digit() && c.is_alphabetic() {
            spaced.push(' ');
        }
        spaced.push(c);
        before = c;
    }
    let apart = |c: char| !(c.is_alphanumeric() || c == '.');
    spaced.split(apart).filter(|word| !word.is_empty()).map(str::to_owned).collect()
}

/// `5 mm`, `5/4 mm`: the first and thickest.
fn millimetres(words: &[String]) -> Option<f64> {
    let at = words.iter().position(|word| word == "mm")?;
    let numbers = words[..at].iter().rev().map_while(|word| word.parse::<f64>().ok());
    numbers.filter(|mm| (0.4..=20.0).contains(mm)).max_by(f64::total_cmp)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_tell_what_a_piece_is() {
        let is = |piece: &str| kind(piece, false);
        for (piece, wanted) in [
            ("diver", Kind::Diver),
            ("The diver, swimwear", Kind::Diver),
            ("body", Kind::Diver),
            ("wet suit 5 mm", Kind::Suit(Suit::Wet(5.0))),
            ("7mm suit", Kind::Suit(Suit::Wet(7.0))),
            ("5/7 mm wetsuit", Kind::Suit(Suit::Wet(7.0))),
            ("dry suit shell", Kind::Suit(Suit::Dry { is_foam: false })),
            ("neoprene dry suit 4 mm", Kind::Suit(Suit::Dry { is_foam: true })),
            ("suit", Kind::Suit(Suit::Unclear)),
            ("wing 18 L", Kind::Wing),
            ("Lead", Kind::Lead),
            ("weights, 2 kg each", Kind::Lead),
            ("weight belt", Kind::Part),
            ("undersuit", Kind::Part),
            ("camera body of the team's photographer", Kind::Part),
            ("stage regulator", Kind::Part),
        ] {
            assert_eq!(is(piece), wanted, "{piece}");
        }
        assert_eq!(kind("the old one", true), Kind::Cylinder(None));
    }

    #[test]
    fn sizes_are_found_in_a_name() {
        let found = |piece: &str| match kind(piece, false) {
            Kind::Cylinder(Some(size)) => Some((size.name.as_str(), without_size(piece, size))),
            _ => None,
        };
        assert_eq!(found("steel 12 L 232 bar"), Some(("steel 12 L 232 bar", String::new())));
        assert_eq!(found("Back: Steel 12L 232bar"), Some(("steel 12 L 232 bar", "Back".into())));
        assert_eq!(found("twin steel 12 L 232 bar"), Some(("twin steel 12 L 232 bar", String::new())));
        assert_eq!(found("stage (aluminium 80 cuft)"), Some(("aluminium 80 cuft", "stage".into())));
        assert_eq!(found("steel 1 L"), None);
    }
}
