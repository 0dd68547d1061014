//! The source as syntax trees: files without their unit tests, and every path that they mention, macros included.

use std::collections::BTreeMap;
use std::path::Path;

use proc_macro2::{Delimiter, TokenStream, TokenTree};
use syn::parse::Parser as _;
use syn::visit::{self, Visit};

/// A file of `src`.
pub struct Source {
    /// Path below `src`, with slashes.
    pub file: String,
    /// The module it is, from the root: `["sim", "step"]`; `lib.rs` is the root itself.
    pub module: Vec<String>,
    /// Its items but for those that are compiled for tests only.
    pub tree: syn::File,
}

/// A rule that is broken.
#[derive(Debug)]
pub struct Offence {
    /// Name of the rule.
    pub rule: &'static str,
    /// Path below `src`.
    pub file: String,
    /// Line in it, from 1.
    pub line: usize,
    /// What is wrong.
    pub what: String,
}

impl Source {
    /// A file from its path below `src` and its text.
    pub fn parse(file: &str, text: &str) -> Self {
        let mut tree = syn::parse_file(text).unwrap_or_else(|error| panic!("{file}: {error}"));
        without_tests(&mut tree.items);
        let stem = file.trim_end_matches(".rs");
        let stem = stem.strip_suffix("/mod").unwrap_or(stem);
        let module = if stem == "lib" { vec![] } else { stem.split('/').map(str::to_owned).collect() };
        Self { file: file.to_owned(), module, tree }
    }

    /// The top module: the room the file stands in.
    pub fn room(&self) -> &str {
        self.module.first().map_or(super::rules::ROOT, String::as_str)
    }

    /// An offence in this file.
    pub fn offence(&self, rule: &'static str, span: proc_macro2::Span, what: impl Into<String>) -> Offence {
        Offence { rule, file: self.file.clone(), line: span.start().line, what: what.into() }
    }

    /// Every path that is mentioned, with the module it stands in.
    pub fn mentions(&self) -> Vec<Mention> {
        let mut visitor = Mentions { module: self.module.clone(), found: vec![] };
        visitor.visit_file(&self.tree);
        visitor.found
    }
}

/// All files of `src`, by path.
pub fn all() -> BTreeMap<String, Source> {
    fn walk(root: &Path, dir: &Path, found: &mut BTreeMap<String, Source>) {
        for entry in std::fs::read_dir(dir).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(root, &path, found);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                let file = path.strip_prefix(root).unwrap().to_string_lossy().replace('\\', "/");
                let source = Source::parse(&file, &std::fs::read_to_string(&path).unwrap());
                found.insert(file, source);
            }
        }
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = BTreeMap::new();
    walk(&root, &root, &mut found);
    found
}

fn for_tests_only(attributes: &[syn::Attribute]) -> bool {
    attributes.iter().any(|attribute| match &attribute.meta {
        syn::Meta::List(list) => list.path.is_ident("cfg") && list.tokens.to_string() == "test",
        syn::Meta::Path(path) => path.is_ident("test"),
        syn::Meta::NameValue(_) => false,
    })
}

fn without_tests(items: &mut Vec<syn::Item>) {
    items.retain(|item| {
        let attributes = match item {
            syn::Item::Mod(it) => &it.attrs,
            syn::Item::Fn(it) => &it.attrs,
            syn::Item::Use(it) => &it.attrs,
            syn::Item::Const(it) => &it.attrs,
            syn::Item::Static(it) => &it.attrs,
            syn::Item::Struct(it) => &it.attrs,
            syn::Item::Enum(it) => &it.attrs,
            syn::Item::Impl(it) => &it.attrs,
            _ => return true,
        };
        !for_tests_only(attributes)
    });
    for item in items {
        if let syn::Item::Mod(syn::ItemMod { content: Some((_, items)), .. }) = item {
            without_tests(items);
        }
    }
}

/// A path as it is written.
#[derive(Debug)]
pub struct Mention {
    /// Module it stands in.
    pub module: Vec<String>,
    /// Its segments; a glob ends in `*`.
    pub segments: Vec<String>,
    /// Whether it is a leaf of a `use`.
    pub is_use: bool,
    /// Where.
    pub span: proc_macro2::Span,
}

struct Mentions {
    module: Vec<String>,
    found: Vec<Mention>,
}

impl Mentions {
    fn push(&mut self, segments: Vec<String>, is_use: bool, span: proc_macro2::Span) {
        self.found.push(Mention { module: self.module.clone(), segments, is_use, span });
    }

    fn use_tree(&mut self, before: &[String], tree: &syn::UseTree) {
        let with = |name: &syn::Ident| [before, &[name.to_string()]].concat();
        match tree {
            syn::UseTree::Path(path) => self.use_tree(&with(&path.ident), &path.tree),
            // `a::{self}` is `a`
            syn::UseTree::Name(name) if name.ident == "self" && !before.is_empty() => {
                self.push(before.to_vec(), true, name.ident.span());
            }
            syn::UseTree::Rename(name) if name.ident == "self" && !before.is_empty() => {
                self.push(before.to_vec(), true, name.ident.span());
            }
            syn::UseTree::Name(name) => self.push(with(&name.ident), true, name.ident.span()),
            syn::UseTree::Rename(name) => self.push(with(&name.ident), true, name.ident.span()),
            syn::UseTree::Glob(glob) => {
                self.push([before, &["*".to_owned()]].concat(), true, glob.star_token.spans[0]);
            }
            syn::UseTree::Group(group) => group.items.iter().for_each(|tree| self.use_tree(before, tree)),
        }
    }

    /// Paths in the tokens of a macro: identifiers joined by `::`, and what follows them in braces, as in a `use`.
    fn tokens(&mut self, tokens: TokenStream) {
        let tokens: Vec<TokenTree> = tokens.into_iter().collect();
        let colons = |at: usize| {
            let colon = |at: usize| matches!(tokens.get(at), Some(TokenTree::Punct(punct)) if punct.as_char() == ':');
            colon(at) && colon(at + 1)
        };
        let mut at = 0;
        while at < tokens.len() {
            match &tokens[at] {
                TokenTree::Ident(first) => {
                    let mut segments = vec![first.to_string()];
                    let span = first.span();
                    at += 1;
                    while colons(at) {
                        match tokens.get(at + 2) {
                            Some(TokenTree::Ident(next)) => {
                                segments.push(next.to_string());
                                at += 3;
                            }
                            Some(TokenTree::Group(group)) if group.delimiter() == Delimiter::Brace => {
                                let list =
                                    syn::punctuated::Punctuated::<syn::UseTree, syn::Token![,]>::parse_terminated;
                                let trees = list.parse2(group.stream()).into_iter().flatten();
                                trees.for_each(|tree| self.use_tree(&segments, &tree));
                                at += 3;
                            }
                            Some(TokenTree::Punct(star)) if star.as_char() == '*' => {
                                self.push([&segments[..], &["*".to_owned()]].concat(), true, span);
                                at += 3;
                            }
                            _ => break,
                        }
                    }
                    self.push(segments, false, span);
                }
                TokenTree::Group(group) => {
                    self.tokens(group.stream());
                    at += 1;
                }
                // a path in a string, as serde takes them
                TokenTree::Literal(literal) => {
                    let text = literal.to_string();
                    let inside = text.trim_matches('"');
                    if inside.contains("::")
                        && let Ok(path) = syn::parse_str::<syn::Path>(inside)
                    {
                        let segments = path.segments.iter().map(|segment| segment.ident.to_string()).collect();
                        self.push(segments, false, literal.span());
                    }
                    at += 1;
                }
                TokenTree::Punct(_) => at += 1,
            }
        }
    }
}

impl<'ast> Visit<'ast> for Mentions {
    fn visit_item_mod(&mut self, item: &'ast syn::ItemMod) {
        self.module.push(item.ident.to_string());
        visit::visit_item_mod(self, item);
        self.module.pop();
    }

    fn visit_item_use(&mut self, item: &'ast syn::ItemUse) {
        self.use_tree(&[], &item.tree);
        visit::visit_item_use(self, item);
    }

    fn visit_path(&mut self, path: &'ast syn::Path) {
        let segments = path.segments.iter().map(|segment| segment.ident.to_string()).collect();
        let span = path.segments.first().map_or_else(proc_macro2::Span::call_site, |segment| segment.ident.span());
        self.push(segments, false, span);
        visit::visit_path(self, path);
    }

    fn visit_macro(&mut self, mac: &'ast syn::Macro) {
        self.tokens(mac.tokens.clone());
        visit::visit_macro(self, mac);
    }

    fn visit_attribute(&mut self, attribute: &'ast syn::Attribute) {
        if let syn::Meta::List(list) = &attribute.meta {
            self.tokens(list.tokens.clone());
        }
        visit::visit_attribute(self, attribute);
    }
}

/// Every identifier and string of a stream of tokens, groups opened.
pub fn flat(tokens: TokenStream) -> Vec<TokenTree> {
    tokens
        .into_iter()
        .flat_map(|token| match token {
            TokenTree::Group(group) => flat(group.stream()),
            other => vec![other],
        })
        .collect()
}
