//! Figures and texts.
