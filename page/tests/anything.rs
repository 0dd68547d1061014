//! Questions as nobody meant them: every answer is one of the three forms, and none is a panic, which would end the engine.

use serde_json::{Value, json};

const PLANS: [&str; 3] = [
    include_str!("../../profiles/cold-trimix.toml"),
    include_str!("../../profiles/single-wetsuit.toml"),
    include_str!("../../profiles/ten-lines.toml"),
];

/// Numbers without order; Marsaglia's xorshift, J. Stat. Softw. 8 (2003) 14, with the shifts 13, 7 and 17 (from memory).
struct Random(u64);

impl Random {
    fn below(&mut self, count: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % count.max(1) as u64) as usize
    }

    fn one<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.below(of.len())]
    }

    fn number(&mut self) -> f64 {
        *self.one(&[0.0, -1.0, 0.5, 3.0, 12.0, 57.5, 400.0, 1e9, -1e300, 1e-300])
    }

    /// A plan with a piece taken out, doubled, or put elsewhere; or as it is.
    fn plan(&mut self) -> String {
        let text = *self.one(&PLANS);
        let letters: Vec<char> = text.chars().collect();
        let (from, to) = (self.below(letters.len()), self.below(letters.len()));
        let piece: String = letters[from..].iter().take(self.below(40)).collect();
        match self.below(4) {
            0 => text.replacen(&piece, "", 1),
            1 => {
                let (before, after): (String, String) =
                    (letters[..to].iter().collect(), letters[to..].iter().collect());
                format!("{before}{piece}{after}")
            }
            _ => text.to_owned(),
        }
    }

    fn change(&mut self) -> Value {
        let controls =
            ["lead", "swim up", "suit gas", "suit foam", "fill back", "water", "density", "depth", "reserve", "x"];
        let levels = ["leg 2", "leg 4", "bottom", "stop 1", "row 7", ""];
        let cylinders = ["back", "fifty", "oxygen", "argon", "none"];
        match self.below(6) {
            0 => json!({ "control": self.one(&controls), "to": self.number() }),
            1 => json!({ "control": self.one(&controls), "to": self.one(&["sea", "fresh", "beer", ""]) }),
            2 => json!({ "level": self.one(&levels), "depth": self.number() }),
            3 => json!({ "level": self.one(&levels), "length_min": self.number() }),
            4 => {
                let kind = self.one(&["leave", "hand_off", "take", "receive"]);
                json!({ "cylinder": self.one(&cylinders), "kind": kind, "time_s": self.number() })
            }
            _ => json!({ "cylinder": self.one(&cylinders), "undo_s": self.number() }),
        }
    }
}

#[test]
fn is_answered() {
    let mut random = Random(0x9e37_79b9_7f4a_7c15);
    let (mut good, mut bad) = (0, 0);
    let mut sets = json!([]);
    for round in 0..3000 {
        if round % 7 == 0 {
            sets = json!([]);
        }
        // the slow answers are asked less often
        let op = match random.below(60) {
            0 => "whole",
            1 => "handout",
            2 => "check",
            3 => "text",
            4 => "words",
            5 => "add_check",
            6 => "begin",
            7 => "write_in",
            8 => "nonsense",
            _ => "dive",
        };
        let question = json!({
            "op": op, "name": "plan.toml", "text": random.plan(), "sets": sets,
            "units": random.one(&[json!(null), json!("metric"), json!("us")]),
            "moment_s": random.number(), "failure_s": random.number(),
            "change": if random.below(2) == 0 { random.change() } else { json!(null) },
            "check": { "depth": "3 m", "outcome": random.one(&["neutral", "sank", "flew"]), "back": "50 bar" },
            "answers": { "mass": random.one(&["80 kg", "", "heavy"]), "stops": random.one(&[json!(null), json!([]), json!(["6 m 3 min"])]) },
        });
        let answer: Value = serde_json::from_str(&lightpoint_page::answer(question.to_string().as_bytes())).unwrap();
        let forms = ["ok", "problems", "error"].iter().filter(|form| !answer[**form].is_null()).count();
        assert_eq!(forms, 1, "{question}: {answer}");
        if let Some(made) = answer["ok"].get("sets") {
            sets = made.clone();
        }
        match answer["ok"].is_null() {
            true => bad += 1,
            false => good += 1,
        }
    }
    // both are tried
    assert!(good > 500 && bad > 500, "{good} good, {bad} bad");
    assert!(lightpoint_page::answer(b"{").contains("not a question"));
}
