//! A finished figure, in either format.

use crate::report::chart::scene::Scene;
use crate::report::chart::{ChartError, png, svg};

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

    /// As SVG. Its text stays text; message and description are there for screen readers.
    ///
    /// # Errors
    /// A fault of the drawing library.
    pub fn svg(&self) -> Result<String, ChartError> {
        svg::svg(&self.scene, &self.message, &self.description)
    }

    /// As PNG on white, `width_px` wide: 1 to 20 000 px.
    ///
    /// # Errors
    /// A width out of range, no memory for the pixels, or a fault of the drawing library.
    pub fn png(&self, width_px: u32) -> Result<Vec<u8>, ChartError> {
        png::png(&self.scene, width_px)
    }
}
