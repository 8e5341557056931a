//! A small part of Markdown as blocks of Pango's markup: headings, text, lists and tables, with emphasis and code in them.

use gtk::glib;
use gtk::prelude::*;
use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};

/// A block of text. Every text is in Pango's markup.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Block {
    /// A heading, of level 1 to 6.
    Heading(u8, String),
    /// A paragraph.
    Text(String),
    /// An item of a list, with its number where the list counts.
    Item(Option<u64>, String),
    /// A row of a table; the first one is its head.
    Row(bool, Vec<String>),
}

/// The blocks of a text. `code` gives the words for what stands between backquotes.
pub fn blocks(text: &str, code: impl Fn(&str) -> String) -> Vec<Block> {
    let mut reader =
        Reader { code, blocks: Vec::new(), now: String::new(), row: Vec::new(), lists: Vec::new() };
    for event in Parser::new_ext(text, Options::ENABLE_TABLES) {
        reader.take(event);
    }
    reader.blocks
}

struct Reader<F> {
    code: F,
    blocks: Vec<Block>,
    /// What has been read of the block.
    now: String,
    row: Vec<String>,
    /// The lists that the reader is in, with the number of the next item.
    lists: Vec<Option<u64>>,
}

impl<F: Fn(&str) -> String> Reader<F> {
    fn take(&mut self, event: Event<'_>) {
        match event {
            Event::Text(text) => self.now.push_str(&glib::markup_escape_text(&text)),
            Event::Code(text) => {
                let words = glib::markup_escape_text(&(self.code)(&text));
                self.now.extend(["<b>", &words, "</b>"]);
            }
            Event::SoftBreak | Event::HardBreak => self.now.push(' '),
            Event::Start(Tag::Strong) => self.now.push_str("<b>"),
            Event::End(TagEnd::Strong) => self.now.push_str("</b>"),
            Event::Start(Tag::Emphasis) => self.now.push_str("<i>"),
            Event::End(TagEnd::Emphasis) => self.now.push_str("</i>"),
            Event::Start(Tag::List(first)) => self.lists.push(first),
            Event::End(TagEnd::List(_)) => drop(self.lists.pop()),
            Event::End(end) => self.end(end),
            _ => {}
        }
    }

    fn end(&mut self, end: TagEnd) {
        let mut text = || std::mem::take(&mut self.now).trim().to_owned();
        match end {
            TagEnd::Heading(level) => {
                let text = text();
                self.blocks.push(Block::Heading(level as u8, text));
            }
            TagEnd::Paragraph if self.lists.is_empty() => {
                let text = text();
                self.blocks.push(Block::Text(text));
            }
            TagEnd::Item => {
                let text = text();
                let number = self.lists.last_mut().and_then(Option::as_mut).map(|next| {
                    *next += 1;
                    *next - 1
                });
                self.blocks.push(Block::Item(number, text));
            }
            TagEnd::TableCell => {
                let text = text();
                self.row.push(text);
            }
            TagEnd::TableHead | TagEnd::TableRow => {
                self.blocks.push(Block::Row(end == TagEnd::TableHead, std::mem::take(&mut self.row)));
            }
            _ => {}
        }
    }
}

/// The blocks as labels that can be selected, one below the other.
pub fn page(blocks: &[Block]) -> gtk::Box {
    let page = gtk::Box::new(gtk::Orientation::Vertical, 8);
    let mut table: Option<(gtk::Grid, i32)> = None;
    for block in blocks {
        if let Block::Row(head, cells) = block {
            let (grid, row) = table.get_or_insert_with(|| {
                let grid = gtk::Grid::builder().column_spacing(18).row_spacing(4).build();
                page.append(&grid);
                (grid, 0)
            });
            for (column, cell) in (0..).zip(cells) {
                grid.attach(&cell_label(cell, *head), column, *row, 1, 1);
            }
            *row += 1;
            continue;
        }
        table = None;
        page.append(&label(block));
    }
    page
}

fn cell_label(text: &str, head: bool) -> gtk::Label {
    let cell = gtk::Label::builder().use_markup(true).label(text).xalign(0.0).yalign(0.0).wrap(true);
    cell.max_width_chars(44).css_classes([if head { "quiet" } else { "plain" }]).build()
}

fn label(block: &Block) -> gtk::Label {
    let label = gtk::Label::builder().xalign(0.0).wrap(true).max_width_chars(80).build();
    match block {
        Block::Heading(level, text) => {
            label.set_markup(text);
            label.add_css_class(if *level == 1 { "large" } else { "heading" });
            label.set_margin_top(if *level == 1 { 0 } else { 10 });
        }
        Block::Item(number, text) => {
            let mark = number.map_or_else(|| "•".to_owned(), |n| format!("{n}."));
            label.set_markup(&format!("{mark}  {text}"));
            label.set_margin_start(10);
        }
        Block::Text(text) => label.set_markup(text),
        Block::Row(..) => {}
    }
    label
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markdown_becomes_blocks_with_markup() {
        let text = "# One\n\nA *b* & **c** `k`.\nOn.\n\n- first\n- second\n\n1. one\n2. two\n\n| x | y |\n|---|---|\n| `k` | 2 |\n";
        let all = blocks(text, str::to_uppercase);
        let own = str::to_owned;
        assert_eq!(
            all,
            [
                Block::Heading(1, own("One")),
                Block::Text(own("A <i>b</i> &amp; <b>c</b> <b>K</b>. On.")),
                Block::Item(None, own("first")),
                Block::Item(None, own("second")),
                Block::Item(Some(1), own("one")),
                Block::Item(Some(2), own("two")),
                Block::Row(true, vec![own("x"), own("y")]),
                Block::Row(false, vec![own("<b>K</b>"), own("2")]),
            ]
        );
    }
}
