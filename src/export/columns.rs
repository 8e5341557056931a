//! Columns aligned for people, by the width that a terminal gives each character.

use unicode_width::UnicodeWidthStr;

/// Which way a column leans.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Lean {
    Left,
    Right,
}

/// Rows of cells as lines, two blanks between the columns, none at the ends of lines.
pub(super) fn aligned<const N: usize>(rows: &[[String; N]], lean: [Lean; N]) -> String {
    aligned_rows(rows, &lean)
}

/// The same of rows whose number of cells is known when they are made only; a row may have fewer.
pub(super) fn aligned_rows(rows: &[impl AsRef<[String]>], lean: &[Lean]) -> String {
    let width = |n: usize| rows.iter().filter_map(|r| Some(r.as_ref().get(n)?.width())).max().unwrap_or(0);
    let widths: Vec<usize> = (0..lean.len()).map(width).collect();
    let mut out = String::new();
    for row in rows {
        let cells: Vec<String> = (row.as_ref().iter().zip(&widths).zip(lean))
            .map(|((cell, width), lean)| {
                let pad = " ".repeat(width.saturating_sub(cell.width()));
                if *lean == Lean::Left { format!("{cell}{pad}") } else { format!("{pad}{cell}") }
            })
            .collect();
        out.push_str(cells.join("  ").trim_end());
        out.push('\n');
    }
    out
}
