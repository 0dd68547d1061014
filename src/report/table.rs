//! Tables that fit: a rule under the header, nothing else, and no wider than the terminal.
//!
//! Where a table is too wide, first the words of one column are folded at their blanks; then columns are left out, in the
//! order that the table itself states, and a line below says which. No word and no number is split.

use comfy_table::{
    Cell, CellAlignment, ColumnConstraint, ContentArrangement, ContentLineStyle, LineStyle, Table, TableStyle, Width,
};

use crate::report::text::width;

/// How a table may be made narrower.
#[derive(Clone, Copy, Debug)]
pub struct Fit<'a> {
    /// The column of words that may be folded.
    pub fold: usize,
    /// Columns that may be left out, the first of them first.
    pub leave_out: &'a [usize],
}

impl Fit<'_> {
    /// Words in the first column may be folded; every other column stays.
    pub const FIRST: Fit<'static> = Fit { fold: 0, leave_out: &[] };
}

/// An empty table.
pub fn new_table() -> Table {
    const STYLE: TableStyle = TableStyle::new()
        .header_lines(ContentLineStyle::none())
        .header_separator(LineStyle::none().fill('─').junction('─'))
        .content_lines(ContentLineStyle::none());
    let mut table = Table::new();
    table.load_style(STYLE).set_content_arrangement(ContentArrangement::Disabled);
    table
}

/// Right-aligns columns of numbers.
pub fn align_numbers(table: &mut Table, columns: std::ops::Range<usize>) {
    for column in columns {
        if let Some(column) = table.column_mut(column) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
}

/// The table in lines without blanks at their ends, as wide as the terminal at most.
pub fn plain(table: &mut Table, fit: Fit<'_>) -> String {
    let left_out = narrow(table, fit, width());
    table.lines().map(|line| line.trim_end().to_owned() + "\n").collect::<String>() + &left_out
}

/// The same with a rule above the last row, the sum.
pub fn with_sum(table: &mut Table, fit: Fit<'_>) -> String {
    let left_out = narrow(table, fit, width());
    let mut lines: Vec<String> = table.lines().map(|line| line.trim_end().to_owned()).collect();
    if let (Some(rule), Some(sum)) = (lines.iter().find(|line| line.starts_with('─')).cloned(), lines.pop()) {
        lines.extend([rule, sum]);
    }
    lines.join("\n") + &if left_out.is_empty() { left_out } else { format!("\n{}", left_out.trim_end()) }
}

/// Blanks beside the content of a column, and between two.
const PADDING: usize = 2;
const BETWEEN: usize = 1;
/// A folded column is not made narrower than this.
const FOLDED: usize = 14;

/// Makes a table as narrow as asked. What was left out, in a line.
fn narrow(table: &mut Table, fit: Fit<'_>, width: usize) -> String {
    table.discover_columns();
    let widths: Vec<usize> = table.column_max_content_widths().into_iter().map(usize::from).collect();
    let mut shown: Vec<bool> = vec![true; widths.len()];
    let least_fold = longest_word(table, fit.fold).max(FOLDED).min(widths.get(fit.fold).copied().unwrap_or(0));
    let mut next = fit.leave_out.iter();
    let mut folded = None;
    loop {
        let count = shown.iter().filter(|shown| **shown).count();
        let content: usize =
            widths.iter().zip(&shown).filter(|(_, shown)| **shown).map(|(width, _)| width + PADDING).sum();
        let total = content + BETWEEN * count.saturating_sub(1);
        if total <= width {
            break;
        }
        let fold = widths[fit.fold].saturating_sub(total - width);
        if fold >= least_fold {
            folded = Some(fold);
            break;
        }
        match next.next() {
            Some(&column) if column < shown.len() => shown[column] = false,
            Some(_) => {}
            None => {
                folded = Some(least_fold);
                break;
            }
        }
    }
    let constraints = widths.iter().enumerate().map(|(i, _)| match (shown[i], folded) {
        (false, _) => ColumnConstraint::Hidden,
        (true, Some(fold)) if i == fit.fold => ColumnConstraint::Absolute(Width::Fixed((fold + PADDING) as u16)),
        (true, _) => ColumnConstraint::ContentWidth,
    });
    let constraints: Vec<ColumnConstraint> = constraints.collect();
    // wide enough for what must not be folded, even where that is more than there is
    table.set_content_arrangement(ContentArrangement::Dynamic).set_width(u16::MAX);
    table.set_constraints(constraints);
    let names: Vec<String> = (0..shown.len()).filter(|i| !shown[*i]).map(|i| name(table, i)).collect();
    if names.is_empty() {
        return String::new();
    }
    let text = format!("left out, because the lines are short: {}", names.join("; "));
    textwrap::fill(&text, width) + "\n"
}

/// The name of a column, on one line.
fn name(table: &Table, column: usize) -> String {
    let cell = table.header().and_then(|header| header.cell_iter().nth(column));
    cell.map(Cell::content).unwrap_or_default().split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Width of the longest word of a column.
fn longest_word(table: &Table, column: usize) -> usize {
    let header = table.header().into_iter();
    let cells = header.chain(table.row_iter()).filter_map(|row| row.cell_iter().nth(column));
    let longest = |cell: &Cell| cell.content().split_whitespace().map(|word| word.chars().count()).max();
    cells.filter_map(longest).max().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table() -> Table {
        let mut table = new_table();
        table.set_header(["a figure of the plan", "now", "then,\nkg", "more"]);
        table.add_row(["mass of the stainless plate", "2.80", "2.75", "12345.67"]);
        align_numbers(&mut table, 1..4);
        table
    }

    fn made(width: usize, leave_out: &[usize]) -> Vec<String> {
        let mut table = table();
        let left_out = narrow(&mut table, Fit { fold: 0, leave_out }, width);
        let lines = table.lines().map(|line| line.trim_end().to_owned());
        lines.chain(left_out.lines().map(str::to_owned)).collect()
    }

    #[test]
    fn wide_enough_is_left_alone() {
        let lines = made(80, &[3]);
        assert!(
            lines.iter().any(|line| line.contains("mass of the stainless plate   2.80    2.75   12345.67")),
            "{lines:#?}"
        );
    }

    #[test]
    fn words_fold_and_numbers_stay_whole() {
        for width in 30..80 {
            let lines = made(width, &[3, 2]);
            assert!(lines.iter().all(|line| line.chars().count() <= width.max(38)), "{width}: {lines:#?}");
            let text = lines.join("\n");
            for whole in ["mass", "stainless", "plate", "2.80"] {
                assert!(text.contains(whole), "{width}: {text}");
            }
            assert!(text.contains("12345.67") != text.contains("left out"), "{width}: {text}");
        }
    }

    #[test]
    fn columns_go_in_their_order_and_it_is_said() {
        let text = made(32, &[3, 2]).join(" ");
        assert!(text.contains("left out, because the lines are short: more"), "{text}");
        assert!(text.contains("2.75"), "one column is enough: {text}");
    }
}
