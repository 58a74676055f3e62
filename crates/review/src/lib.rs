//! All answers of one design, with their findings.
