//! The printed packet: pages first, then PDF.

pub mod bending;
pub mod build;
pub mod cards;
pub mod code;
pub mod convention;
pub mod cover;
pub mod drawings;
pub mod edges;
pub mod ends;
pub mod extent;
pub mod face;
pub mod hidden;
pub mod jigs;
pub mod labels;
pub mod layout;
pub mod lists;
pub mod numbers;
pub mod over;
pub mod page;
pub mod pdf;
pub mod plates;
pub mod rule;
pub mod rules;
pub mod settings;
pub mod sketch;
pub mod stance;
pub mod strength;
pub mod templates;
pub mod told;
pub mod views;
pub mod ways_in;
pub mod welds;

pub use layout::Identity;
use layout::Sheets;
use page::Page;
use review::{Review, Text};

/// All pages of a packet.
pub fn pages(review: &Review, id: &Identity) -> Result<Vec<Page>, String> {
    let design = &review.shape.design;
    let text = Text::new(design);
    let mut s = Sheets::new(design.paper)?;
    let contents = cover::draw(&mut s, review, id, &text);
    drawings::pages(&mut s, review, &text);
    stance::pages(&mut s, review, &text);
    over::pages(&mut s, review, &text);
    strength::pages(&mut s, review, &text);
    rules::pages(&mut s, review, &text);
    numbers::pages(&mut s, review);
    lists::pieces(&mut s, review, &text);
    lists::sticks(&mut s, review, &text);
    let ways = review::ends::of(review);
    ends::pages(&mut s, review, &ways, &text);
    jigs::pages(&mut s, review, &text);
    ways_in::pages(&mut s, review, &text);
    welds::pages(&mut s, review, &review::welds::of(review), &text);
    build::pages(&mut s, review, &text);
    cards::draw(&mut s, review, &ways, &text, id.link.as_deref());
    plates::draw(&mut s, review, &text);
    templates::draw(&mut s, &review.cutting.pieces, &text);
    cover::contents(&mut s, &contents);
    s.finish(&design.name, id);
    Ok(s.pages)
}

/// The packet as a PDF.
pub fn pdf(review: &Review, id: &Identity) -> Result<Vec<u8>, String> {
    pdf::write(&pages(review, id)?)
}
