//! Every piece: lengths, bends, end cuts, notcher set-ups, templates.
