//! Small helpers for messages: lists in words, near misses.

/// `a`, `a or b`, `a, b or c`.
pub fn any_of<T: AsRef<str>>(words: &[T]) -> String {
    joined(words, "or")
}

/// `a`, `a and b`, `a, b and c`.
pub fn all_of<T: AsRef<str>>(words: &[T]) -> String {
    joined(words, "and")
}

fn joined<T: AsRef<str>>(words: &[T], last: &str) -> String {
    match words {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [head @ .., tail] => {
            let head: Vec<&str> = head.iter().map(AsRef::as_ref).collect();
            format!("{} {last} {}", head.join(", "), tail.as_ref())
        }
    }
}

/// The known word that looks most like `written`, if any looks like it.
pub fn nearest<'w>(written: &str, known: impl IntoIterator<Item = &'w str>) -> Option<&'w str> {
    let lower = written.to_lowercase();
    known
        .into_iter()
        .map(|word| (strsim::normalized_damerau_levenshtein(&lower, &word.to_lowercase()), word))
        // more than two letters in five wrong is another word (tried on the keys of the plan)
        .filter(|(likeness, _)| *likeness >= 0.6)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, word)| word)
}

/// `Did you mean X?` or nothing.
pub fn did_you_mean<'w>(written: &str, known: impl IntoIterator<Item = &'w str>) -> Option<String> {
    nearest(written, known).map(|word| format!("did you mean \"{word}\"?"))
}
