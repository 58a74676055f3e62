//! Curves, outlines, solids, rays and distances; no trade words.
