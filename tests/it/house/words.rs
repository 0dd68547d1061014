//! The program never promises safety: it says what it computed, against which limit.

use proc_macro2::TokenTree;
use syn::visit::{self, Visit};

use super::source::{Offence, Source, flat};

/// Words that promise it, or speak of it as if it could be had.
const WORDS: &[&str] = &["safe", "safer", "safest", "safely", "safety", "unsafe"];

/// The first such word of a text.
pub fn word_in(text: &str) -> Option<String> {
    let lower = text.to_lowercase();
    lower.split(|c: char| !c.is_alphanumeric()).find(|word| WORDS.contains(word)).map(str::to_owned)
}

struct Texts<'a> {
    source: &'a Source,
    found: Vec<Offence>,
}

impl Texts<'_> {
    fn check(&mut self, text: &str, span: proc_macro2::Span) {
        if let Some(word) = word_in(text) {
            self.found.push(self.source.offence("words", span, format!("\"{word}\" in {text:?}")));
        }
    }
}

/// Strings, docs (they are strings to the compiler), and strings in macros.
impl<'ast> Visit<'ast> for Texts<'_> {
    fn visit_lit_str(&mut self, text: &'ast syn::LitStr) {
        self.check(&text.value(), text.span());
    }

    fn visit_macro(&mut self, mac: &'ast syn::Macro) {
        for token in flat(mac.tokens.clone()) {
            if let TokenTree::Literal(literal) = token {
                self.check(&literal.to_string(), literal.span());
            }
        }
        visit::visit_macro(self, mac);
    }

    fn visit_attribute(&mut self, attribute: &'ast syn::Attribute) {
        if let syn::Meta::List(list) = &attribute.meta {
            for token in flat(list.tokens.clone()) {
                if let TokenTree::Literal(literal) = token {
                    self.check(&literal.to_string(), literal.span());
                }
            }
        }
        visit::visit_attribute(self, attribute);
    }
}

pub fn offences(source: &Source) -> Vec<Offence> {
    let mut texts = Texts { source, found: vec![] };
    texts.visit_file(&source.tree);
    texts.found
}

#[cfg(test)]
mod planted {
    use super::*;

    #[track_caller]
    fn caught(text: &str, times: usize) {
        let found = offences(&Source::parse("report/words.rs", text));
        assert_eq!(found.len(), times, "{text}: {found:?}");
    }

    #[test]
    fn the_word() {
        caught("const A: &str = \"This lead is safe.\";", 1);
        caught("/// A safe lead.\nfn f() {}", 1);
        caught("//! Safety first.\nfn f() {}", 1);
        caught("fn f() -> String { format!(\"{} kg, safely\", 1) }", 1);
        caught("#[arg(help = \"a safer dive\")]\nfn f() {}", 1);
        caught("const A: &str = r#\"UNSAFE\"#;", 1);
    }

    #[test]
    fn other_words() {
        caught("/// Safeguards a vouchsafed failsafe.\nfn f() { let _ = \"save\"; }", 0);
        caught("// plain comments are ours\nfn thread_safe() {}", 0);
    }
}
