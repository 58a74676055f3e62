//! Rule sets that the design names: every rule, what was measured and its clause.

use review::{Review, Text, rules};

use super::layout::{BODY, Sheets};
use super::page::Ink;
use super::told::told;

/// A table for each set; nothing if the design names none.
pub fn pages(s: &mut Sheets, r: &Review, t: &Text) {
    if r.rules.is_empty() {
        return;
    }
    s.start("rules");
    s.heading("What rule sets want");
    for set in r.rules.iter().filter(|x| x.report.is_none()) {
        s.paragraph(&rules::caution(set), BODY, Ink::Black);
    }
    for sheet in rules::sheets(&r.rules, t) {
        told(s, &sheet);
    }
}
