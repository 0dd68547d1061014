//! Every public number says its unit, and no two numbers travel together without names.

use proc_macro2::Span;
use quote::ToTokens as _;

use super::rules::{ANY_QUANTITY, IN_SI, UNITS, WITHOUT_UNIT};
use super::source::{Offence, Source};

const RULE: &str = "numbers";

/// Whether a type is a number, alone or many of one sort.
fn is_number(of: &syn::Type) -> bool {
    match of {
        syn::Type::Path(path) => {
            let Some(last) = path.path.segments.last() else { return false };
            let name = last.ident.to_string();
            if ["f64", "f32"].contains(&name.as_str()) {
                return true;
            }
            let syn::PathArguments::AngleBracketed(inside) = &last.arguments else { return false };
            let wraps = ["Option", "Vec", "Box", "Arc", "Rc", "Range", "RangeInclusive", "Cow", "Result"];
            wraps.contains(&name.as_str())
                && matches!(inside.args.first(), Some(syn::GenericArgument::Type(of)) if is_number(of))
        }
        syn::Type::Reference(to) => is_number(&to.elem),
        syn::Type::Array(of) => is_number(&of.elem),
        syn::Type::Slice(of) => is_number(&of.elem),
        syn::Type::Paren(of) => is_number(&of.elem),
        _ => false,
    }
}

/// Whether a type holds a tuple with a number in it, at any depth.
fn has_nameless(of: &syn::Type) -> bool {
    struct Tuples(bool);
    impl<'ast> syn::visit::Visit<'ast> for Tuples {
        fn visit_type_tuple(&mut self, tuple: &'ast syn::TypeTuple) {
            self.0 |= tuple.elems.iter().any(is_number);
            syn::visit::visit_type_tuple(self, tuple);
        }
    }
    let mut tuples = Tuples(false);
    syn::visit::Visit::visit_type(&mut tuples, of);
    tuples.0
}

fn says_unit(name: &str) -> bool {
    let lower = name.to_lowercase();
    let ends = |unit: &str| lower == unit || lower.ends_with(&format!("_{unit}"));
    UNITS.iter().any(|unit| ends(unit)) || WITHOUT_UNIT.contains(&name)
}

struct Numbers<'a> {
    source: &'a Source,
    found: Vec<Offence>,
}

impl Numbers<'_> {
    fn named(&mut self, name: &syn::Ident, of: &syn::Type, where_: &str) {
        if is_number(of) && !says_unit(&name.to_string()) {
            self.push(name.span(), format!("{where_} `{name}` does not say its unit"));
        }
        self.nameless(name.span(), of, &format!("{where_} `{name}`"));
    }

    fn nameless(&mut self, span: Span, of: &syn::Type, where_: &str) {
        if has_nameless(of) {
            self.push(span, format!("{where_} holds a number without a name: {}", of.to_token_stream()));
        }
    }

    fn push(&mut self, span: Span, what: String) {
        self.found.push(self.source.offence(RULE, span, what));
    }

    fn fields(&mut self, fields: &syn::Fields, of: &syn::Ident, all_public: bool) {
        for field in fields {
            if !all_public && !is_public(&field.vis) {
                continue;
            }
            match &field.ident {
                Some(name) => self.named(name, &field.ty, "field"),
                // the name of a tuple of one is that of its type
                None if fields.len() == 1 => self.named(&snake(of), &field.ty, "value of"),
                None if is_number(&field.ty) => {
                    self.push(of.span(), format!("a value of `{of}` is a number without a name"));
                }
                None => self.nameless(of.span(), &field.ty, &format!("`{of}`")),
            }
        }
    }

    fn function(&mut self, signature: &syn::Signature) {
        for input in &signature.inputs {
            if let syn::FnArg::Typed(typed) = input {
                match &*typed.pat {
                    syn::Pat::Ident(name) => self.named(&name.ident, &typed.ty, "argument"),
                    _ => self.nameless(signature.ident.span(), &typed.ty, "an argument"),
                }
            }
        }
        if let syn::ReturnType::Type(_, of) = &signature.output {
            self.named(&signature.ident, of, "function");
        }
    }

    fn items(&mut self, items: &[syn::Item]) {
        for item in items {
            match item {
                syn::Item::Struct(it) if is_public(&it.vis) => self.fields(&it.fields, &it.ident, false),
                // the message of an error says the units of what it holds
                syn::Item::Enum(it) if it.ident.to_string().ends_with("Error") => {}
                syn::Item::Enum(it) if is_public(&it.vis) => {
                    it.variants.iter().for_each(|variant| self.fields(&variant.fields, &variant.ident, true));
                }
                syn::Item::Fn(it) if is_public(&it.vis) => self.function(&it.sig),
                syn::Item::Const(it) if is_public(&it.vis) => self.named(&it.ident, &it.ty, "constant"),
                syn::Item::Static(it) if is_public(&it.vis) => self.named(&it.ident, &it.ty, "static"),
                syn::Item::Type(it) if is_public(&it.vis) => self.named(&snake(&it.ident), &it.ty, "type"),
                syn::Item::Trait(it) if is_public(&it.vis) => {
                    for item in &it.items {
                        if let syn::TraitItem::Fn(it) = item {
                            self.function(&it.sig);
                        }
                    }
                }
                // what a trait asks for stands in the trait
                syn::Item::Impl(it) if it.trait_.is_none() => {
                    for item in &it.items {
                        match item {
                            syn::ImplItem::Fn(it) if is_public(&it.vis) => self.function(&it.sig),
                            syn::ImplItem::Const(it) if is_public(&it.vis) => self.named(&it.ident, &it.ty, "constant"),
                            _ => {}
                        }
                    }
                }
                syn::Item::Mod(it) => {
                    if let Some((_, items)) = &it.content {
                        self.items(items);
                    }
                }
                _ => {}
            }
        }
    }
}

/// `DepthM` as `depth_m`.
fn snake(name: &syn::Ident) -> syn::Ident {
    let mut out = String::new();
    for c in name.to_string().chars() {
        if c.is_uppercase() && !out.is_empty() {
            out.push('_');
        }
        out.extend(c.to_lowercase());
    }
    syn::Ident::new(&out, name.span())
}

/// Private modules re-export what they call public, so anything beyond private counts.
fn is_public(visibility: &syn::Visibility) -> bool {
    !matches!(visibility, syn::Visibility::Inherited)
}

pub fn offences(source: &Source) -> Vec<Offence> {
    if !IN_SI.contains(&source.room()) || ANY_QUANTITY.contains(&source.file.as_str()) {
        return vec![];
    }
    let mut numbers = Numbers { source, found: vec![] };
    numbers.items(&source.tree.items);
    numbers.found
}

#[cfg(test)]
mod planted {
    use super::*;

    #[track_caller]
    fn caught(text: &str, times: usize) {
        let found = offences(&Source::parse("sim/state.rs", text));
        assert_eq!(found.len(), times, "{text}: {found:?}");
    }

    #[test]
    fn numbers_without_a_unit() {
        caught("pub struct A { pub pressure: f64 }", 1);
        caught("pub struct A { pub(crate) pressure: Option<Vec<f64>>, pub at: [f64; 3] }", 2);
        caught("pub enum A { B { depth: f64 }, Density(f64) }", 2);
        caught("pub struct Depth(pub f64);", 1);
        caught("pub fn f(depth: f64) {}", 1);
        caught("pub fn density() -> f64 { 0.0 }", 1);
        caught("pub const TOLERANCE: f64 = 1e-9;", 1);
        caught("pub struct A; impl A { pub fn lift(&self) -> Option<f64> { None } }", 1);
        caught("pub mod inner { pub struct A { pub size: f64 } }", 1);
        caught("pub trait T { fn depth(&self) -> f64; }", 1);
    }

    #[test]
    fn numbers_without_a_name() {
        caught("pub fn f() -> (f64, f64) { (0.0, 0.0) }", 1);
        caught("pub fn span_m() -> (f64, f64) { (0.0, 0.0) }", 1);
        caught("pub fn f() -> Result<(f64, u8), ()> { Err(()) }", 1);
        caught("pub struct A { pub points: Vec<(f64, f64)> }", 1);
        caught("pub fn f(points: &[(usize, f64)]) {}", 1);
        caught("pub struct Pair(pub f64, pub f64);", 2);
    }

    #[test]
    fn what_is_right_stays() {
        caught("pub struct A { pub pressure_pa: f64, pub gas_frac: f64, hidden: f64, pub n: usize }", 0);
        caught("pub fn density_kg_m3(depth_m: f64, k: f64) -> f64 { 0.0 }", 0);
        caught("fn own(a: f64) -> (f64, f64) { (a, a) }", 0);
        caught("pub enum StateError { A { value: f64 } }", 0);
        caught("pub const BAR_PA: f64 = 1e5; impl From<f64> for A { fn from(a: f64) -> A { A } }", 0);
        assert!(offences(&Source::parse("report/measure.rs", "pub fn f(a: f64) -> f64 { a }")).is_empty());
    }
}
