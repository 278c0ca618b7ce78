//! Text commands.
