//! A finished figure, in either format.

use std::collections::BTreeSet;

use crate::report::chart::font::Weight;
use crate::report::chart::scene::{Item, Scene};
use crate::report::chart::{ChartError, font, png, svg};

/// A figure, drawn but not yet written.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    scene: Scene,
    message: String,
    description: String,
}

impl Picture {
    pub(super) fn new(scene: Scene, message: impl Into<String>, description: impl Into<String>) -> Self {
        Self { scene, message: message.into(), description: description.into() }
    }

    /// What the picture says: its title.
    pub fn message(&self) -> &str {
        &self.message
    }

    /// As SVG. Its text stays text, in a typeface that comes along; message and description are there for screen readers.
    ///
    /// # Errors
    /// A fault of the drawing library.
    pub fn svg(&self) -> Result<String, ChartError> {
        let letters = |weight: Weight| -> BTreeSet<char> {
            let texts = self.scene.items().iter().filter_map(|item| match item {
                Item::Text(text) if text.weight == weight => Some(text.text.as_str()),
                _ => None,
            });
            texts.flat_map(str::chars).collect()
        };
        let style = font::rules(&letters(Weight::Regular), &letters(Weight::Bold));
        svg::svg(&self.scene, &self.message, &self.description, &style)
    }

    /// As SVG inside a page that brings the typeface itself, see [`crate::report::chart::typeface`].
    ///
    /// # Errors
    /// A fault of the drawing library.
    pub fn svg_in_page(&self) -> Result<String, ChartError> {
        svg::svg(&self.scene, &self.message, &self.description, "")
    }

    /// As PNG on white, `width_px` wide: 1 to 20 000 px.
    ///
    /// # Errors
    /// A width out of range, no memory for the pixels, or a fault of the drawing library.
    pub fn png(&self, width_px: u32) -> Result<Vec<u8>, ChartError> {
        png::png(&self.scene, width_px)
    }
}
