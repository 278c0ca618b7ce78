//! The room section on the screen: painted from its layout, asked by pointer and keys.

mod paint;
