//! Places and their air.

use super::field::Row;
use crate::job::Window;
use crate::views::typed;

/// Hours somebody comes, as one text.
pub(super) fn windows(f: &mut Row, name: &str, value: &mut Vec<Window>) {
    let width = f.wide();
    let print = |w: &Vec<Window>| typed::windows_field(w);
    if let Some(w) = f.field(name, width, value, print, typed::read_windows) {
        *value = w;
    }
}
