//! A code to scan (QR, ISO/IEC 18004).

use fast_qr::{ECL, QRBuilder, QRCode};
use glam::DVec2;

use super::page::{Ink, Page};

/// In a link, what the name of a piece stands in for.
pub const PIECE: &str = "{piece}";

/// Side of a module, mm: a phone reads it from a hand away, a printer of 300 dots an inch draws nearly five dots, and two
/// cards stay on one page.
const MODULE: f64 = 0.4;
/// Clear modules round the code that the standard asks for.
const QUIET: f64 = 4.0;

/// A code.
pub struct Code(QRCode);

impl Code {
    /// Of a text; `None` if it is too long for any code. A seventh of it may be soiled: what hangs on a tube is.
    pub fn new(text: &str) -> Option<Code> {
        QRBuilder::new(text).ecl(ECL::M).build().ok().map(Code)
    }

    /// Side with its clear border, mm.
    pub fn side(&self) -> f64 {
        (self.0.size as f64 + 2.0 * QUIET) * MODULE
    }

    /// Draws it with its upper left corner, border included, at a place.
    pub fn draw(&self, page: &mut Page, at: DVec2) {
        let n = self.0.size;
        for row in 0..n {
            let mut col = 0;
            while col < n {
                // Runs of dark modules in one stroke: no seams between them.
                let run = (col..n).take_while(|&c| self.0[row][c].value()).count();
                if run > 0 {
                    let corner = DVec2::new(col as f64, row as f64) + QUIET;
                    page.rect(at + corner * MODULE, DVec2::new(run as f64, 1.0) * MODULE, Some(Ink::Black), None);
                }
                col += run.max(1);
            }
        }
    }
}
