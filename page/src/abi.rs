//! What a script can call. Texts pass through two buffers in the engine's own memory, so that no pointer is ever read here:
//!
//! 1. `reserve(length)` gives the place where the script writes its question, UTF-8;
//! 2. `answer()` works it out and gives the place of the answer, `answer_length()` its length;
//! 3. after a trap, `fault()` and `fault_length()` tell what went wrong, and the instance is thrown away.

use std::cell::RefCell;
use std::sync::Once;

thread_local! {
    static QUESTION: RefCell<Vec<u8>> = const { RefCell::new(Vec::new()) };
    static ANSWER: RefCell<String> = const { RefCell::new(String::new()) };
    static FAULT: RefCell<String> = const { RefCell::new(String::new()) };
}

/// Place for a question of so many bytes.
#[unsafe(no_mangle)]
pub extern "C" fn reserve(length: usize) -> *mut u8 {
    QUESTION.with_borrow_mut(|question| {
        question.clear();
        question.resize(length, 0);
        question.as_mut_ptr()
    })
}

/// Works out the answer to the question that was written; gives its place.
#[unsafe(no_mangle)]
pub extern "C" fn answer() -> *const u8 {
    static HOOK: Once = Once::new();
    HOOK.call_once(|| {
        std::panic::set_hook(Box::new(|panic| FAULT.with_borrow_mut(|fault| *fault = panic.to_string())));
    });
    let question = QUESTION.take();
    let text = crate::ask::answer(&question);
    ANSWER.with_borrow_mut(|answer| {
        *answer = text;
        answer.as_ptr()
    })
}

/// Length of the answer, bytes.
#[unsafe(no_mangle)]
pub extern "C" fn answer_length() -> usize {
    ANSWER.with_borrow(String::len)
}

/// Place of the words about a fault of the program.
#[unsafe(no_mangle)]
pub extern "C" fn fault() -> *const u8 {
    FAULT.with_borrow(|fault| fault.as_ptr())
}

/// Length of these words, bytes.
#[unsafe(no_mangle)]
pub extern "C" fn fault_length() -> usize {
    FAULT.with_borrow(String::len)
}
