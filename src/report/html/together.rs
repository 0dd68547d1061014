//! The pages of many students in one file, in the order of print. Each is what one alone would be on paper; the slider is
//! for a screen and stays hidden, because the file has no script. Names of elements have the number of their page in front:
//! a document may have each only once.

use maud::{PreEscaped, html};

use crate::report::chart::ChartError;
use crate::report::html::{Handout, Paper, document, sheets, style};

/// The sheets of one student, as a part of a file with others; `number` is the place in it.
///
/// # Errors
/// A fault of the drawing library.
pub fn part(handout: &Handout<'_>, number: usize) -> Result<String, ChartError> {
    Ok(numbered(&sheets(handout)?.0, number))
}

/// One file of the parts, each on paper of its own.
pub fn together(title: &str, paper: Paper, parts: &[String]) -> String {
    let body = html! { body { @for part in parts { (PreEscaped(part)) } } };
    document(title, &style(paper, &body), &body, "'none'")
}

/// Attributes that are, or hold, the name of an element.
const NAMES: [&str; 6] = ["id", "for", "aria-labelledby", "aria-describedby", "href", "xlink:href"];

/// Markup with the names of its elements made this page's own. Quotes and angles in texts and values are escaped, so
/// that a tag ends at the first `>` and a value at the first quote.
fn numbered(markup: &str, number: usize) -> String {
    let mut out = String::with_capacity(markup.len() + markup.len() / 50);
    let mut rest = markup;
    while let Some(at) = rest.find('<') {
        let (text, tag) = rest.split_at(at);
        let end = tag.find('>').map_or(tag.len(), |end| end + 1);
        out.push_str(text);
        tag_numbered(&tag[..end], number, &mut out);
        rest = &tag[end..];
    }
    out.push_str(rest);
    out
}

fn tag_numbered(tag: &str, number: usize, out: &mut String) {
    // outside and inside of quotes by turns
    for (i, piece) in tag.split('"').enumerate() {
        if i > 0 {
            out.push('"');
        }
        if i % 2 == 0 {
            out.push_str(piece);
            continue;
        }
        let before = tag.split('"').nth(i - 1).unwrap_or_default();
        let attribute = before.trim_end_matches('=').rsplit([' ', '<']).next().unwrap_or_default();
        out.push_str(&value_numbered(attribute, piece, number));
    }
}

fn value_numbered(attribute: &str, value: &str, number: usize) -> String {
    if !NAMES.contains(&attribute) {
        // a pattern or a clip of a figure
        return value.replace("url(#", &format!("url(#s{number}-"));
    }
    let names = value.split(' ').map(|name| match (name.strip_prefix('#'), attribute.ends_with("href")) {
        (Some(name), _) => format!("#s{number}-{name}"),
        (None, true) => name.to_owned(),
        (None, false) => format!("s{number}-{name}"),
    });
    names.collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_numbered_and_nothing_else() {
        let markup = "<h2 id=\"a\" class=\"id\">id=&quot;a&quot; url(#a) <b aria-labelledby=\"a b\">x</b></h2>\
                      <use href=\"#a\" fill=\"url(#hatch)\"/><link href=\"data:,\">";
        let expected = "<h2 id=\"s3-a\" class=\"id\">id=&quot;a&quot; url(#a) <b aria-labelledby=\"s3-a s3-b\">x</b></h2>\
                        <use href=\"#s3-a\" fill=\"url(#s3-hatch)\"/><link href=\"data:,\">";
        assert_eq!(numbered(markup, 3), expected);
        assert_eq!(numbered("a < b", 1), "a < b");
    }
}
