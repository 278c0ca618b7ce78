//! The program's own sign: the corner of a room in section, with crown and base, a step with its
//! coat drying behind it, and the client's day. Drawn by rule at any size; `assets/icon` holds
//! the usual ones as pictures, which a test compares.

use egui::{Color32, IconData};

use super::theme::LIGHT;

/// Points looked at in each pixel, across and down.
const FINE: usize = 4;

/// Sizes kept as pictures, pixels.
pub const SIZES: [usize; 6] = [16, 32, 48, 64, 128, 256];

/// Colour of a point, 0 to 1 from the upper left.
fn at(x: f32, y: f32) -> Color32 {
    let within = |x0: f32, y0: f32, x1: f32, y1: f32| (x0..x1).contains(&x) && (y0..y1).contains(&y);
    // The edge of the sheet.
    if !within(0.035, 0.035, 0.965, 0.965) {
        return LIGHT.edge;
    }
    // Ceiling, wall and floor, cut through.
    if within(0.12, 0.13, 0.90, 0.23) || within(0.12, 0.13, 0.22, 0.88) || within(0.12, 0.80, 0.90, 0.88) {
        return LIGHT.ink;
    }
    // Crown: a cove in the corner; base at the foot of the wall.
    let (dx, dy) = (x - 0.48, y - 0.49);
    let crown = within(0.22, 0.23, 0.46, 0.47) && dx * dx + dy * dy > 0.058;
    if crown || within(0.22, 0.63, 0.30, 0.80) {
        return LIGHT.shop.line;
    }
    // The client's day.
    if within(0.80, 0.23, 0.87, 0.80) {
        return LIGHT.target;
    }
    // A step, and what is left to dry of its coat.
    if within(0.38, 0.54, 0.56, 0.70) {
        return LIGHT.room.line;
    }
    if within(0.56, 0.54, 0.76, 0.70) && (x - 0.56) * 0.8 < y - 0.54 {
        return LIGHT.hand;
    }
    LIGHT.paper
}

/// The sign, `side` pixels wide and high: red, green, blue and opacity of each pixel, row by row.
pub fn drawing(side: usize) -> Vec<u8> {
    let mut out = Vec::with_capacity(side * side * 4);
    let step = 1.0 / (side * FINE) as f32;
    for row in 0..side {
        for col in 0..side {
            let mut sum = [0u32; 3];
            for k in 0..FINE * FINE {
                let x = ((col * FINE + k % FINE) as f32 + 0.5) * step;
                let y = ((row * FINE + k / FINE) as f32 + 0.5) * step;
                let c = at(x, y);
                for (s, v) in sum.iter_mut().zip([c.r(), c.g(), c.b()]) {
                    *s += u32::from(v);
                }
            }
            out.extend(sum.map(|s| (s / (FINE * FINE) as u32) as u8));
            out.push(255);
        }
    }
    out
}

/// The sign as the window shows it.
pub fn of_window() -> IconData {
    let side = SIZES[SIZES.len() - 1];
    IconData { rgba: drawing(side), width: side as u32, height: side as u32 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_part_can_be_told_at_every_size() {
        for side in SIZES {
            let all = drawing(side);
            assert_eq!(all.len(), side * side * 4);
            let has = |c: Color32| {
                let near = |p: &[u8]| p[..3].iter().zip([c.r(), c.g(), c.b()]).all(|(a, b)| a.abs_diff(b) < 40);
                all.chunks(4).filter(|p| near(p)).count()
            };
            // At the smallest the wood is narrower than two pixels.
            let small = if side < 32 { 4 } else { 5 };
            for c in [LIGHT.ink, LIGHT.paper, LIGHT.target, LIGHT.room.line, LIGHT.shop.line].into_iter().take(small) {
                assert!(has(c) >= 2, "{c:?} at {side}");
            }
        }
    }
}
