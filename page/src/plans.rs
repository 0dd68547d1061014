//! The plan of a question: read, built and corrected once for as long as the same is asked for.

use std::cell::RefCell;
use std::rc::Rc;

use lightpoint::internals::answer::{AnswerError, Ready};
use lightpoint::internals::plan::Plan;

/// A change of a plan: a key, and its new value as `--set` takes it.
pub type Set = (String, String);

/// A plan that was read and made ready.
pub struct Opened {
    /// The plan, with the changes made.
    pub plan: Plan,
    /// Built, and corrected by its checks.
    pub ready: Ready,
    name: String,
    text: String,
    sets: Vec<Set>,
}

impl Opened {
    fn is_of(&self, name: &str, text: &str, sets: &[Set]) -> bool {
        self.sets == sets && self.name == name && self.text == text
    }
}

/// A frame of a drag asks for the plan of the frame before, and then for its own.
const KEPT: usize = 2;

thread_local! {
    static LAST: RefCell<Vec<Rc<Opened>>> = const { RefCell::new(Vec::new()) };
}

/// Reads a plan with changes and makes it ready, or gives it back where it was asked for just now.
pub fn open(name: &str, text: &str, sets: &[Set]) -> Result<Rc<Opened>, AnswerError> {
    if let Some(known) = LAST.with_borrow(|last| last.iter().find(|one| one.is_of(name, text, sets)).cloned()) {
        return Ok(known);
    }
    let plan = Plan::parse_with(text, name, "", sets)?;
    let ready = Ready::of(&plan)?;
    let opened =
        Rc::new(Opened { plan, ready, name: name.to_owned(), text: text.to_owned(), sets: sets.to_vec() });
    LAST.with_borrow_mut(|last| {
        last.insert(0, Rc::clone(&opened));
        last.truncate(KEPT);
    });
    Ok(opened)
}

/// Changes with newer ones on top: a new value of a key takes the place of older ones of it and of what is in it.
pub fn merged(sets: &[Set], newer: Vec<Set>) -> Vec<Set> {
    let is_replaced = |key: &str| {
        newer.iter().any(|(new, _)| {
            key.strip_prefix(new.as_str()).is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
        })
    };
    let kept = sets.iter().filter(|(key, _)| !is_replaced(key)).cloned();
    kept.chain(newer.iter().cloned()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn set(key: &str, value: &str) -> Set {
        (key.into(), value.into())
    }

    #[test]
    fn the_newest_value_of_a_key_is_the_one_that_counts() {
        let old = [set("site.water", "sea"), set("suit.gas_volume", "12 L"), set("site", "{}"), set("sites", "x")];
        let new = merged(&old, vec![set("site", "{ water = \"fresh\" }")]);
        assert_eq!(new, [set("suit.gas_volume", "12 L"), set("sites", "x"), set("site", "{ water = \"fresh\" }")]);
    }
}
