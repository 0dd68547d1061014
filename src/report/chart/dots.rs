//! Least and most lead as a hundred dots each, every one a trial in a hundred, against the lead that is carried: a chance
//! that can be counted (quantile dot plots: Kay and others, "When (ish) is my bus?", CHI 2016; from memory).

use crate::report::chart::font::{self, Weight};
use crate::report::chart::panel::{Axis, EDGE, Panel, WIDTH};
use crate::report::chart::scene::{Anchor, Scene, Text};
use crate::report::chart::shape::{Point, Rect};
use crate::report::chart::style::{
    BLUE, BLUE_TEXT, BODY_PX, INK, PAPER, RULE, Rgb, SMALL_PX, SOFT, Stroke, VERMILION, VERMILION_TEXT,
};
use crate::report::chart::title::{Heading, heading};
use crate::report::chart::{ChartError, Picture};
use crate::report::fins::Fins;
use crate::report::measure::{Quantity, UnitSystem};

/// Dots a quantity.
const DOTS: usize = 100;
/// Highest pile of a quantity, px.
const PILE_PX: f64 = 150.0;
/// Largest and smallest distance of dots, px.
const DOT_PX: (f64, f64) = (17.0, 4.0);
/// Distance of dots that are all alike, px.
const ALONE_PX: f64 = 10.0;
/// Above a pile: its name with what its dots count, px.
const NAME_PX: f64 = 22.0;
/// Above the first pile: the lead carried, px.
const OWN_PX: f64 = 24.0;
/// Below a pile, px: room for the words below the dots that have no place.
const BELOW_PX: f64 = 30.0;
/// Width of the column of dots for which there is no lead, px.
const NONE_PX: f64 = 200.0;

/// What the picture shows, kg.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeadDots<'a> {
    /// Message of the picture.
    pub title: &'a str,
    /// What it is of.
    pub subject: &'a str,
    /// Least lead of each trial, kg; below zero none is needed.
    pub least_kg: &'a [f64],
    /// Most lead of each trial, kg; below zero the diver is too heavy without any.
    pub most_kg: &'a [f64],
    /// Lead that is carried, kg.
    pub own_kg: f64,
    /// Whether a part of the dive has no way straight up: then nobody swims up there, and the fins hold a load.
    pub has_overhead: bool,
    /// Units of the reader.
    pub units: UnitSystem,
}

/// Which end of the range.
#[derive(Clone, Copy, PartialEq)]
enum End {
    Least,
    Most,
}

/// Draws the dots of both ends above one axis.
///
/// # Errors
/// No trials, or a fault of the drawing library.
pub fn lead_dots(dots: &LeadDots<'_>) -> Result<Picture, ChartError> {
    if dots.least_kg.is_empty() || dots.most_kg.is_empty() {
        return Err(ChartError::Nothing { figure: "doubt", missing: "a trial" });
    }
    let units = dots.units;
    let ends = [(End::Least, hundred(dots.least_kg)), (End::Most, hundred(dots.most_kg))];
    let title = font::clean(dots.title);
    let mut scene = Scene::new(WIDTH, 200.0);
    let top = heading(&mut scene, &Heading { message: &title, subject: dots.subject, note: None }) + 26.0;
    let has_none = ends.iter().any(|(_, values)| values.iter().any(|kg| *kg < 0.0));
    let left = EDGE + if has_none { NONE_PX } else { 8.0 };
    let value = |kg: f64| units.value(Quantity::Mass, kg);
    let all = ends.iter().flat_map(|(_, values)| values).filter(|kg| **kg >= 0.0).copied().chain([dots.own_kg]);
    let mut x = Axis::covering(format!("lead, {}", units.symbol(Quantity::Mass)), all.map(value), 0.05);
    x.low = if has_none { 0.0 } else { x.low.max(0.0) };
    let wide = Rect { left, top, right: WIDTH - EDGE - 8.0, bottom: top };
    let panel = Panel { rect: wide, x, y: Axis::between("", 0.0, 1.0) };
    let ticks = panel.x.ticks(9);
    let own = panel.at_x(value(dots.own_kg));
    let piles: Vec<Pile> = ends.iter().map(|(end, kg)| Pile::of(dots, &panel, *end, kg)).collect();
    // the same size everywhere, so that a dot is worth the same
    let size = piles.iter().map(Pile::size).fold(DOT_PX.0, f64::min);
    let mut y = top;
    for (n, pile) in piles.iter().enumerate() {
        let above = if n == 0 { OWN_PX } else { 6.0 };
        let ground = Rect { top: y + NAME_PX + above, bottom: y + NAME_PX + above + pile.height(size) + 8.0, ..wide };
        let here = Panel { rect: ground, ..panel.clone() };
        here.draw_x_grid(&mut scene, &ticks);
        pile.names(&mut scene, y + 4.0);
        pile.draw(&mut scene, ground.bottom, size);
        scene.line(Point::new(own, ground.top), Point::new(own, ground.bottom), Stroke::solid(INK, 2.0));
        if n == 0 {
            let name = if dots.own_kg > 0.0 {
                format!("carried {}", units.text(Quantity::Mass, dots.own_kg))
            } else {
                "no lead carried".to_owned()
            };
            let half = 0.5 * font::width(&name, BODY_PX, Weight::Bold);
            let x = own.clamp(EDGE + half, WIDTH - EDGE - half);
            text(&mut scene, x, ground.top - 5.0, Anchor::Middle, (BODY_PX, Weight::Bold, INK), &name);
        }
        y = ground.bottom + BELOW_PX;
    }
    let axis = Panel { rect: Rect { bottom: y - BELOW_PX + if has_none { 22.0 } else { 0.0 }, ..wide }, ..panel };
    axis.draw_x(&mut scene, &ticks);
    scene.height = axis.rect.bottom + 52.0;
    let description = format!(
        "Least and most lead of the trials as a hundred dots each, against the lead carried, {}. {} {}",
        units.text(Quantity::Mass, dots.own_kg),
        piles[0].says(),
        piles[1].says()
    );
    Ok(Picture::new(scene, title, description))
}

/// The value of every hundredth trial in order of size, from the middle of the first hundredth on.
fn hundred(values: &[f64]) -> Vec<f64> {
    let mut sorted: Vec<f64> = values.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    let at = |i: usize| ((i as f64 + 0.5) / DOTS as f64 * sorted.len() as f64) as usize;
    (0..DOTS).map(|i| sorted[at(i).min(sorted.len() - 1)]).collect()
}

fn text(scene: &mut Scene, x: f64, y: f64, anchor: Anchor, (size, weight, colour): (f64, Weight, Rgb), text: &str) {
    scene.text(Text { at: Point::new(x, y), anchor, size, weight, colour, text: text.to_owned() });
}

/// The dots of one end.
struct Pile {
    end: End,
    fins: Fins,
    /// places from left to right, px, and whether the lead carried misses them
    dots: Vec<(f64, bool)>,
    /// how many have no place because there is no such lead, and whether the lead carried misses them
    none: (usize, bool),
    own: f64,
}

impl Pile {
    fn of(dots: &LeadDots<'_>, panel: &Panel, end: End, hundred_kg: &[f64]) -> Self {
        let misses = |kg: f64| match end {
            End::Least => dots.own_kg < kg,
            End::Most => dots.own_kg > kg,
        };
        let at = |kg: f64| panel.at_x(dots.units.value(Quantity::Mass, kg));
        let none = hundred_kg.iter().filter(|kg| **kg < 0.0).count();
        Self {
            end,
            fins: Fins::where_overhead(dots.has_overhead),
            dots: hundred_kg.iter().filter(|kg| **kg >= 0.0).map(|kg| (at(*kg), misses(*kg))).collect(),
            none: (none, end == End::Most),
            own: at(dots.own_kg),
        }
    }

    /// Stacks of dots, in columns one dot wide that begin at the lead carried, so that none lies on both sides of it:
    /// middle, how many, whether they are missed.
    fn stacks(&self, size: f64) -> Vec<(f64, usize, bool)> {
        let mut stacks: Vec<(i64, usize, bool)> = Vec::new();
        for &(x, missed) in &self.dots {
            let column = ((x - self.own) / size).floor() as i64;
            // what just meets the lead carried stands on the side of what it does
            let is_left = missed == (self.end == End::Most);
            let column = if is_left { column.min(-1) } else { column.max(0) };
            match stacks.last_mut() {
                Some((same, count, _)) if *same == column => *count += 1,
                _ => stacks.push((column, 1, missed)),
            }
        }
        let middle = |column: i64| self.own + (column as f64 + 0.5) * size;
        stacks.into_iter().map(|(column, count, missed)| (middle(column), count, missed)).collect()
    }

    /// The largest size at which the highest stack fits.
    fn size(&self) -> f64 {
        let mut size = DOT_PX.0;
        if self.stacks(size).len() == 1 {
            return ALONE_PX; // it may stand in several columns
        }
        while size > DOT_PX.1 && self.stacks(size).iter().any(|(_, count, _)| *count as f64 * size > PILE_PX) {
            size -= 0.25;
        }
        size
    }

    /// Height of the highest stack, px.
    fn height(&self, size: f64) -> f64 {
        let highest = self.stacks(size).iter().map(|(_, count, _)| *count as f64 * size).fold(0.0, f64::max);
        let across = ((NONE_PX - 20.0) / size).floor().max(1.0);
        highest.min(PILE_PX).max((self.none.0 as f64 / across).ceil() * size)
    }

    fn draw(&self, scene: &mut Scene, base: f64, size: f64) {
        let right = scene.width - EDGE;
        scene.line(Point::new(EDGE, base), Point::new(right, base), Stroke::solid(RULE, 1.0));
        let mut dot = |x: f64, row: f64, missed: bool| {
            let at = Point::new(x, base - (row + 0.5) * size);
            let radius = 0.44 * size;
            scene.disc(at, radius, if missed { VERMILION } else { BLUE });
            if missed {
                scene.disc(at, 0.5 * radius, PAPER); // a ring, so that the two differ in grey
            }
        };
        let high = (PILE_PX / size).floor().max(1.0) as usize;
        for (x, count, missed) in self.stacks(size) {
            // a stack that is too high stands in several columns around its place, on its own side of the lead carried
            let columns = count.div_ceil(high);
            let rows = count.div_ceil(columns);
            let (side, away) = if x < self.own { (-1.0, self.own - x) } else { (1.0, x - self.own) };
            let nearest = (away - 0.5 * (columns - 1) as f64 * size).max(away.min(0.5 * size));
            for i in 0..count {
                dot(self.own + side * (nearest + (i / rows) as f64 * size), (i % rows) as f64, missed);
            }
        }
        let across = ((NONE_PX - 20.0) / size).floor().max(1.0) as usize;
        for i in 0..self.none.0 {
            dot(EDGE + (0.5 + (i % across) as f64) * size, (i / across) as f64, self.none.1);
        }
        if self.none.0 > 0 {
            let name = if self.end == End::Least { "none needed" } else { "too heavy" };
            text(scene, EDGE, base + 14.0, Anchor::Start, (SMALL_PX, Weight::Regular, SOFT), name);
        }
    }

    fn missed(&self) -> usize {
        self.dots.iter().filter(|(_, missed)| *missed).count() + if self.none.1 { self.none.0 } else { 0 }
    }

    fn says(&self) -> String {
        let missed = self.missed();
        match self.end {
            End::Least => {
                format!("The last stop holds in {} of 100 trials, in {missed} it takes more lead.", DOTS - missed)
            }
            End::Most => {
                let (swum_up, good) = (self.fins.swum_up(), DOTS - missed);
                format!("It can be {swum_up} in {good} of 100 trials, in {missed} only with less lead.")
            }
        }
    }

    /// What the pile is, and how many dots lie on either side.
    fn names(&self, scene: &mut Scene, y: f64) {
        let missed = self.missed();
        let swum_up = self.fins.swum_up();
        let (name, good, bad) = match self.end {
            End::Least => {
                ("least lead that stays down".to_owned(), "stays down in".to_owned(), "too little in".to_owned())
            }
            End::Most => {
                (format!("most lead that can be {swum_up}"), format!("can be {swum_up} in"), "too much in".to_owned())
            }
        };
        let name = name.as_str();
        text(scene, EDGE, y, Anchor::Start, (BODY_PX, Weight::Bold, INK), name);
        let mut x = EDGE + font::width(name, BODY_PX, Weight::Bold) + 28.0;
        for (words, count, is_good) in [(good, DOTS - missed, true), (bad, missed, false)] {
            let words = format!("{words} {count} of 100");
            let at = Point::new(x, y - 0.36 * SMALL_PX);
            scene.disc(at, 5.0, if is_good { BLUE } else { VERMILION });
            if !is_good {
                scene.disc(at, 2.5, PAPER);
            }
            let colour = if is_good { BLUE_TEXT } else { VERMILION_TEXT };
            text(scene, x + 10.0, y, Anchor::Start, (SMALL_PX, Weight::Regular, colour), &words);
            x += 10.0 + font::width(&words, SMALL_PX, Weight::Regular) + 26.0;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hundred_dots_are_the_middles_of_the_hundredths() {
        let values: Vec<f64> = (0..1000).rev().map(f64::from).collect();
        let dots = hundred(&values);
        assert_eq!((dots.len(), dots[0], dots[99]), (100, 5.0, 995.0));
        assert_eq!(hundred(&[3.0]), [3.0; 100]);
    }
}
