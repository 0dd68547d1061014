//! What the browser itself measures: its trace (the format: "Trace Event Format", from memory; times in µs).

use std::time::Instant;

use serde_json::{Value, json};

use super::{Browser, PATIENCE};

impl Browser {
    /// Begins a trace of some categories.
    pub fn trace(&mut self, categories: &[&str]) {
        self.traced.clear();
        self.trace_is_complete = false;
        let config = json!({ "includedCategories": categories, "excludedCategories": ["*"] });
        self.call("Tracing.start", json!({ "transferMode": "ReportEvents", "traceConfig": config }));
    }

    /// Ends it; its events in the order of time.
    pub fn traced(&mut self) -> Vec<Value> {
        self.call("Tracing.end", json!({}));
        let start = Instant::now();
        while !self.trace_is_complete {
            assert!(start.elapsed() < PATIENCE, "the trace does not end");
            self.receive();
        }
        let mut events = std::mem::take(&mut self.traced);
        events.sort_by(|a, b| a["ts"].as_f64().unwrap_or(0.0).total_cmp(&b["ts"].as_f64().unwrap_or(0.0)));
        events
    }
}
