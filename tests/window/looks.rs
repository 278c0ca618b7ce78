//! Can it be read, and told apart: every pair of colours that meets on the screen.
//!
//! Contrast is the ratio of WCAG 2.2 (W3C Recommendation, "contrast ratio" and "relative
//! luminance" in its glossary): (L1 + 0.05) / (L2 + 0.05), with L = 0.2126 R + 0.7152 G +
//! 0.0722 B over linear sRGB. Text needs 4.5 (success criterion 1.4.3), marks 3 (1.4.11).
//!
//! Colour deficiencies are simulated with the matrices of Machado, Oliveira and Fernandes, "A
//! Physiologically-based Model for Simulation of Color Vision Deficiency", IEEE Transactions on
//! Visualization and Computer Graphics 15 (6), 2009, at severity 1.0, over linear sRGB.
//! Difference is CIE 1976 delta E*ab under D65. Two patches side by side are told apart half of
//! the time at 2.3 (Mahy, Van Eycken and Oosterlinck, Color Research and Application 19 (2),
//! 1994); outlines of a pixel or two, apart from each other, need several times that. [`APART`]
//! is a good eight times; it is our choice, no standard asks for one.

use egui::Color32;
use roomback::ui::theme::{DARK, LIGHT, Theme};

const TEXT: f64 = 4.5;
const MARK: f64 = 3.0;
const APART: f64 = 20.0;

type Role = (&'static str, fn(&Theme) -> Color32);

fn role(name: &'static str, of: fn(&Theme) -> Color32) -> Role {
    (name, of)
}

macro_rules! roles {
    ($($part:ident$(.$of:ident)?),* $(,)?) => { [$(role(stringify!($part$(.$of)?), |t| t.$part$(.$of)?)),*] };
}

/// What words may stand on, and marks lie on.
fn grounds() -> Vec<Role> {
    roles![paper, panel, night, room.tint, shop.tint, booth.tint, tape].to_vec()
}

/// Where a step is done: outline of its block.
fn places() -> Vec<Role> {
    roles![room.line, shop.line, booth.line].to_vec()
}

/// Words and what they stand on.
fn words() -> Vec<(Role, Role)> {
    let mut out = each_on(&roles![ink, quiet, target, safe, error], &grounds());
    out.extend(each_on(&roles![ribbon_word], &roles![ribbon]));
    out.extend(each_on(&roles![ink, quiet, focus], &roles![picked]));
    out
}

/// Lines and shapes and what they lie on; the tick lies on a block that is done.
fn marks() -> Vec<(Role, Role)> {
    let lines = roles![edge, wedge, ribbon, target, safe, hand, caution, selected, focus, peg, error];
    let mut out = each_on(&lines, &grounds());
    out.extend(each_on(&places(), &grounds()));
    out.extend(each_on(&roles![tick], &places()));
    out
}

/// Every one on every ground.
fn each_on(marks: &[Role], grounds: &[Role]) -> Vec<(Role, Role)> {
    marks.iter().flat_map(|m| grounds.iter().map(|g| (*m, *g))).collect()
}

/// What a reader must not take for one another, though each is also a shape or a word.
fn apart() -> Vec<(Role, Role)> {
    let sets: [&[Role]; 10] = [
        // Where a step is done.
        &places(),
        // Days marked through the chart, and the ribbon above them.
        &roles![target, safe, ribbon],
        // The border of a caution beside the client's day and beside ink.
        &roles![target, caution],
        &roles![ribbon, caution],
        // The two hatches, and the line one lies beside.
        &roles![hand, target],
        &roles![wedge, hand],
        // A blue line through blocks of the room.
        &roles![safe, room.line],
        // Figures of the strip, coloured or not; what is wrong and what is safe.
        &roles![target, quiet],
        &roles![safe, quiet],
        &roles![safe, error],
    ];
    let mut out = Vec::new();
    for set in sets {
        for (i, a) in set.iter().enumerate() {
            out.extend(set[i + 1..].iter().map(|b| (*a, *b)));
        }
    }
    // A peg on a block, and the outline of the selected one.
    out.extend(each_on(&roles![peg, selected], &places()));
    out
}

/// Linear sRGB of a colour, 0 to 1 (IEC 61966-2-1).
fn linear(c: Color32) -> [f64; 3] {
    assert_eq!(c.a(), 255, "a colour that lets the ground through has no one contrast");
    [c.r(), c.g(), c.b()].map(|v| {
        let v = f64::from(v) / 255.0;
        if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
    })
}

fn contrast(a: Color32, b: Color32) -> f64 {
    let luminance = |c| {
        let [r, g, b] = linear(c);
        0.2126 * r + 0.7152 * g + 0.0722 * b
    };
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

type Matrix = [[f64; 3]; 3];

/// Machado, Oliveira and Fernandes 2009, severity 1.0.
const SIGHTS: [(&str, Matrix); 4] = [
    ("full colour", [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]),
    ("protanopia", [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]),
    (
        "deuteranopia",
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
    ),
    ("tritanopia", [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]),
];

fn times(m: &Matrix, v: [f64; 3]) -> [f64; 3] {
    m.map(|row| row.iter().zip(v).map(|(a, b)| a * b).sum())
}

/// L*, a*, b* under D65 (CIE 15; the matrix is that of IEC 61966-2-1 to four more digits).
fn lab(c: Color32, sight: &Matrix) -> [f64; 3] {
    const XYZ: Matrix =
        [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]];
    const WHITE: [f64; 3] = [0.95047, 1.0, 1.08883];
    let xyz = times(&XYZ, times(sight, linear(c)).map(|v| v.clamp(0.0, 1.0)));
    let mut f = [0.0; 3];
    for i in 0..3 {
        let t = xyz[i] / WHITE[i];
        f[i] = if t > 216.0 / 24389.0 { t.cbrt() } else { (24389.0 / 27.0 * t + 16.0) / 116.0 };
    }
    [116.0 * f[1] - 16.0, 500.0 * (f[0] - f[1]), 200.0 * (f[1] - f[2])]
}

fn difference(a: Color32, b: Color32, sight: &Matrix) -> f64 {
    let (a, b) = (lab(a, sight), lab(b, sight));
    a.iter().zip(b).map(|(x, y)| (x - y) * (x - y)).sum::<f64>().sqrt()
}

fn papers() -> [(&'static str, &'static Theme); 2] {
    [("light", &LIGHT), ("dark", &DARK)]
}

/// Pairs below what they need, a line each.
fn pale(pairs: &[(Role, Role)], least: f64) -> Vec<String> {
    let mut out = Vec::new();
    for (paper, theme) in papers() {
        for ((a, a_of), (b, b_of)) in pairs {
            let got = contrast(a_of(theme), b_of(theme));
            if got < least {
                out.push(format!("{paper}: {a} on {b} {got:.2}, needs {least}"));
            }
        }
    }
    out
}

#[test]
fn contrast_is_that_of_the_guideline() {
    let grey = |v| Color32::from_rgb(v, v, v);
    // WCAG 2.2, "contrast ratio": from 1 to 21.
    assert!((contrast(grey(0), grey(255)) - 21.0).abs() < 1e-9);
    assert!((contrast(grey(255), grey(0)) - 21.0).abs() < 1e-9);
    assert!((contrast(grey(90), grey(90)) - 1.0).abs() < 1e-9);
    // #767676 is the lightest grey that passes on white, at 4.54 (WebAIM, "Contrast and Color Accessibility").
    assert!((contrast(grey(0x76), grey(255)) - 4.54).abs() < 0.005);
    assert!(contrast(grey(0x77), grey(255)) < TEXT);
}

#[test]
fn difference_is_that_of_the_literature() {
    let full = &SIGHTS[0].1;
    // L*a*b* of the sRGB primaries under D65, from memory of Lindbloom's colour calculator.
    for (c, want) in [
        (Color32::from_rgb(255, 0, 0), [53.24, 80.09, 67.20]),
        (Color32::from_rgb(0, 255, 0), [87.73, -86.18, 83.18]),
        (Color32::from_rgb(0, 0, 255), [32.30, 79.19, -107.86]),
        (Color32::WHITE, [100.0, 0.0, 0.0]),
    ] {
        for (got, want) in lab(c, full).iter().zip(want) {
            assert!((got - want).abs() < 0.02, "{c:?}: {got} {want}");
        }
    }
    // Greys stay grey to every eye: each row of a matrix adds up to one.
    for (name, m) in &SIGHTS {
        assert!(m.iter().all(|row| (row.iter().sum::<f64>() - 1.0).abs() < 2e-6), "{name}");
    }
    // Red and green of like lightness are far apart, and come near without the middle cones; the
    // same for blue and green without the short ones.
    let (red, green) = (Color32::from_rgb(200, 60, 40), Color32::from_rgb(95, 120, 30));
    assert!(difference(red, green, full) > 3.0 * difference(red, green, &SIGHTS[2].1));
    let (blue, teal) = (Color32::from_rgb(30, 90, 170), Color32::from_rgb(0, 105, 100));
    assert!(difference(blue, teal, full) > 3.0 * difference(blue, teal, &SIGHTS[3].1));
}

#[test]
fn words_can_be_read() {
    let wrong = pale(&words(), TEXT);
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn marks_can_be_seen() {
    let wrong = pale(&marks(), MARK);
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn what_differs_stays_apart_to_every_eye() {
    let mut wrong = Vec::new();
    for (paper, theme) in papers() {
        for ((a, a_of), (b, b_of)) in apart() {
            for (sight, m) in &SIGHTS {
                let got = difference(a_of(theme), b_of(theme), m);
                if got < APART {
                    wrong.push(format!("{paper}, {sight}: {a} and {b} {got:.1} apart, need {APART}"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn a_pale_pair_and_a_close_pair_are_found() {
    assert_eq!(pale(&each_on(&roles![rule], &roles![paper]), MARK).len(), 2);
    // Red and green that a reader without the middle cones takes for one another.
    let close = difference(Color32::from_rgb(170, 70, 30), Color32::from_rgb(110, 95, 20), &SIGHTS[2].1);
    assert!(close < APART, "{close}");
}

#[test]
fn light_and_dark_are_two_designs() {
    assert_ne!(LIGHT.dark, DARK.dark);
    // Dark paper is warm and not black.
    let [r, g, b, _] = DARK.paper.to_array();
    assert!(r > g && g > b && b > 0x18, "{r} {g} {b}");
}
