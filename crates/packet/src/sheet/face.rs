//! The face that the sheets are set in, and how wide its words are.
//!
//! B612 (SIL Open Font License 1.1, see `fonts/LICENCE.txt`): drawn to be read at arm's length, figures of one width.

use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, GlyphId, MetadataProvider};

/// Regular.
pub const REGULAR: &[u8] = include_bytes!("../../fonts/B612-Regular.otf");
/// Bold.
pub const BOLD: &[u8] = include_bytes!("../../fonts/B612-Bold.otf");

/// A face, ready to measure.
pub struct Face {
    font: FontRef<'static>,
}

/// One glyph of a text.
#[derive(Clone, Debug)]
pub struct Placed {
    /// Number of the glyph.
    pub glyph: u32,
    /// Advance as a part of the size.
    pub advance: f64,
    /// Bytes of the text that it stands for.
    pub range: std::ops::Range<usize>,
}

impl Face {
    /// The regular or the bold face.
    pub fn new(bold: bool) -> Result<Face, String> {
        let data = if bold { BOLD } else { REGULAR };
        FontRef::new(data).map(|font| Face { font }).map_err(|e| format!("the built-in font can't be read: {e}"))
    }

    /// The glyphs of a text; a character that the face lacks shows as its box for missing ones.
    pub fn glyphs(&self, text: &str) -> Vec<Placed> {
        let map = self.font.charmap();
        let metrics = self.font.glyph_metrics(Size::new(1.0), LocationRef::default());
        text.char_indices()
            .map(|(i, c)| {
                let glyph = map.map(c).unwrap_or(GlyphId::new(0));
                let advance = f64::from(metrics.advance_width(glyph).unwrap_or(0.5));
                Placed { glyph: glyph.to_u32(), advance, range: i..i + c.len_utf8() }
            })
            .collect()
    }

    /// Width of a text, mm, at a size in mm.
    pub fn width(&self, text: &str, size: f64) -> f64 {
        self.glyphs(text).iter().map(|g| g.advance).sum::<f64>() * size
    }

    /// A text broken into lines no wider than `width`: at spaces, and a longer word where it must be.
    pub fn wrap(&self, text: &str, size: f64, width: f64) -> Vec<String> {
        let mut lines = vec![String::new()];
        for word in text.split_whitespace() {
            let last = lines.len() - 1;
            let joined = if lines[last].is_empty() { word.to_owned() } else { format!("{} {word}", lines[last]) };
            if self.width(&joined, size) <= width {
                lines[last] = joined;
                continue;
            }
            if !lines[last].is_empty() {
                lines.push(String::new());
            }
            self.spell(&mut lines, word, size, width);
        }
        lines
    }

    /// Puts a word on the last, empty line, and what has no room there on further ones; breaks after `_`, `-` or
    /// `/` if it can.
    fn spell(&self, lines: &mut Vec<String>, word: &str, size: f64, width: f64) {
        let mut line = String::new();
        for c in word.chars() {
            line.push(c);
            if line.chars().count() > 1 && self.width(&line, size) > width {
                line.pop();
                let cut = line.rfind(['_', '-', '/']).map(|k| k + 1).filter(|k| *k > 1).unwrap_or(line.len());
                let rest = line.split_off(cut);
                if let Some(last) = lines.last_mut() {
                    *last = line;
                }
                lines.push(String::new());
                line = rest;
                line.push(c);
            }
        }
        if let Some(last) = lines.last_mut() {
            *last = line;
        }
    }

    /// A text cut short with an ellipsis if it is wider than `width`.
    pub fn fit(&self, text: &str, size: f64, width: f64) -> String {
        if self.width(text, size) <= width {
            return text.to_owned();
        }
        let mut s = text.to_owned();
        while !s.is_empty() && self.width(&format!("{s}…"), size) > width {
            s.pop();
        }
        format!("{s}…")
    }
}
