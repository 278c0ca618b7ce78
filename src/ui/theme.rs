//! How the window looks: every colour, size and distance of it, in light and dark.
//!
//! One sheet of paper with ruled zones and square corners, like a shop drawing: no shadows, no
//! rounded cards, nothing moves by itself. Red-brown is the client's day, what passes it and
//! what shuts the room; blue is safe, odds and what can be clicked; what holds the date is ink.
//! Colour never speaks alone: a place is also a shape, a day also a word.
//!
//! Every pair of colours that meets on the screen is measured in `tests/window/looks.rs`:
//! text 4.5 : 1, marks 3 : 1, and what must be told apart stays apart under the three common
//! colour deficiencies. Hairlines (`rule`) and night shades carry nothing that is not also said
//! in words, and are held to no ratio.
//!
//! Lengths are points: pixels at scale 1.

use std::sync::Arc;

use egui::style::{HandleShape, NumericColorSpace, ScrollStyle, Selection, TextCursorStyle, WidgetVisuals, Widgets};
use egui::{
    Color32, Context, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Margin, Shadow, Stroke, Style,
    TextStyle, Visuals, vec2,
};

/// Sizes and distances. Those of the room section, which is the same on paper, are in
/// `views::section`.
pub mod size {
    /// Height of the strip on top.
    pub const STRIP: f32 = 56.0;
    /// Height of a row of blocks, and of a line of a table.
    pub const ROW: f32 = 22.0;
    /// Width of the panel at the right, in a window narrower than `WIDE` and in one at least so wide.
    pub const SIDE: f32 = 330.0;
    pub const SIDE_WIDE: f32 = 420.0;
    pub const WIDE: f32 = 1600.0;
    /// Height of the row with the names of the benches.
    pub const BENCHES: f32 = 28.0;
    /// Width of the measure sheet, alone and above its drawing.
    pub const SHEET: f32 = 420.0;
    pub const SHEET_WIDE: f32 = 520.0;

    /// Smallest area that takes a click, width and height.
    pub const HIT: (f32, f32) = (24.0, 22.0);
    /// A press that moves further than this is a drag.
    pub const DRAG: f32 = 6.0;

    /// Text: captions and chart labels, body, headings, figures of the strip.
    pub const SMALL: f32 = 12.0;
    pub const BODY: f32 = 13.0;
    pub const HEAD: f32 = 15.0;
    pub const FIGURE: f32 = 20.0;

    /// Between a word and its figure; between lines; around the contents of a zone; between zones.
    pub const GAP: f32 = 6.0;
    pub const LINE: f32 = 4.0;
    pub const PAD: f32 = 12.0;
    pub const ZONE: f32 = 20.0;

    /// Lines: hairline of a zone, outline of a block, a day marked through the chart.
    pub const HAIR: f32 = 1.0;
    pub const OUTLINE: f32 = 1.5;
    pub const DAY: f32 = 2.0;
    /// Distance of hatch lines: drying, days in hand.
    pub const HATCH: f32 = 5.0;

    /// Text scale: least, most, step.
    pub const SCALE: (f32, f32, f32) = (0.8, 2.0, 0.1);
}

/// Colours of work in a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// Fill of a block still to do.
    pub tint: Color32,
    /// Its outline; the fill of a block that is done.
    pub line: Color32,
}

/// Colours by what they stand for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Theme {
    pub dark: bool,
    pub paper: Color32,
    /// Paper of a panel beside the chart.
    pub panel: Color32,
    pub ink: Color32,
    /// Captions and units.
    pub quiet: Color32,
    /// Hairlines between zones and bands.
    pub rule: Color32,
    /// Outline of fields and buttons, walls of the drawing.
    pub edge: Color32,
    /// Nights and days off.
    pub night: Color32,
    pub room: Place,
    pub shop: Place,
    pub booth: Place,
    /// Tick on a block that is done.
    pub tick: Color32,
    /// Hatch of a drying wedge and its dot.
    pub wedge: Color32,
    /// What holds the date; `ribbon_word` stands on it.
    pub ribbon: Color32,
    pub ribbon_word: Color32,
    /// The day asked for or promised, what passes it, what shuts the room.
    pub target: Color32,
    /// Safe to promise, odds, what can be clicked.
    pub safe: Color32,
    /// Hatch of the days in hand.
    pub hand: Color32,
    /// The tape of odds.
    pub tape: Color32,
    /// Border of a caution; its words are ink.
    pub caution: Color32,
    /// Outline of the selected block.
    pub selected: Color32,
    /// Fill behind selected text and the selected line of a list.
    pub picked: Color32,
    /// Outline of what the keyboard is at.
    pub focus: Color32,
    /// The peg of a step kept waiting.
    pub peg: Color32,
    /// What is wrong, in words.
    pub error: Color32,
}

const fn rgb(hex: u32) -> Color32 {
    Color32::from_rgb((hex >> 16) as u8, (hex >> 8) as u8, hex as u8)
}

const fn place(tint: u32, line: u32) -> Place {
    Place { tint: rgb(tint), line: rgb(line) }
}

/// Ink on white stock.
pub const LIGHT: Theme = Theme {
    dark: false,
    paper: rgb(0xFBF9F2),
    panel: rgb(0xF3F0E6),
    ink: rgb(0x22242B),
    quiet: rgb(0x5C5A54),
    rule: rgb(0xD9D4C5),
    edge: rgb(0x797469),
    night: rgb(0xECE7DA),
    room: place(0xCFE3E1, 0x21797A),
    shop: place(0xF6E3BD, 0x8A5A0B),
    booth: place(0xE6DAF1, 0x7A3FA6),
    tick: rgb(0xFBF9F2),
    wedge: rgb(0x2E5A56),
    ribbon: rgb(0x22242B),
    ribbon_word: rgb(0xFBF9F2),
    target: rgb(0x962A12),
    safe: rgb(0x133F9E),
    hand: rgb(0x4F7AC4),
    tape: rgb(0xE3ECDD),
    caution: rgb(0x9F7600),
    selected: rgb(0x22242B),
    picked: rgb(0xD3DFF3),
    focus: rgb(0x133F9E),
    peg: rgb(0x33261C),
    error: rgb(0xB8003C),
};

/// Chalk on dark kraft paper.
pub const DARK: Theme = Theme {
    dark: true,
    paper: rgb(0x2A2723),
    panel: rgb(0x322E29),
    ink: rgb(0xF1ECDF),
    quiet: rgb(0xC2BBAE),
    rule: rgb(0x4A453D),
    edge: rgb(0x9A9386),
    night: rgb(0x221F1B),
    room: place(0x21403F, 0x57AD9C),
    shop: place(0x48391D, 0xDDA243),
    booth: place(0x423453, 0xCFA6F5),
    tick: rgb(0x2A2723),
    wedge: rgb(0xA5D2CB),
    ribbon: rgb(0xF1ECDF),
    ribbon_word: rgb(0x2A2723),
    target: rgb(0xFA8C68),
    safe: rgb(0xA9CDFF),
    hand: rgb(0x7597D6),
    tape: rgb(0x30382A),
    caution: rgb(0xE8CC55),
    selected: rgb(0xF1ECDF),
    picked: rgb(0x33425C),
    focus: rgb(0xA9CDFF),
    peg: rgb(0xFFF8E6),
    error: rgb(0xFF8CA0),
};

/// Name of the semibold family.
const SEMIBOLD: &str = "semibold";

/// The plain weight at a size.
pub fn plain(size: f32) -> FontId {
    FontId::new(size, FontFamily::Proportional)
}

/// The semibold weight at a size.
pub fn semibold(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name(SEMIBOLD.into()))
}

/// Text style of the strip's figures.
pub fn figure() -> TextStyle {
    TextStyle::Name("figure".into())
}

/// Text style of a figure or name within body text.
pub fn strong() -> TextStyle {
    TextStyle::Name("strong".into())
}

impl Theme {
    /// The colours in force.
    pub fn of(ctx: &Context) -> &'static Theme {
        if ctx.theme() == egui::Theme::Dark { &DARK } else { &LIGHT }
    }

    fn visuals(&self) -> Visuals {
        // Grey values of a widget: what it lies on, its outline, its words.
        let widget = |fill: Color32, outline: Stroke, words: Color32| WidgetVisuals {
            bg_fill: fill,
            weak_bg_fill: fill,
            bg_stroke: outline,
            corner_radius: CornerRadius::ZERO,
            fg_stroke: Stroke::new(1.0, words),
            expansion: 0.0,
        };
        let base = if self.dark { Visuals::dark() } else { Visuals::light() };
        Visuals {
            override_text_color: None,
            weak_text_color: Some(self.quiet),
            widgets: Widgets {
                noninteractive: widget(self.paper, Stroke::new(size::HAIR, self.rule), self.ink),
                inactive: widget(self.paper, Stroke::new(size::HAIR, self.edge), self.ink),
                hovered: widget(self.night, Stroke::new(size::HAIR, self.ink), self.ink),
                active: widget(self.night, Stroke::new(size::DAY, self.focus), self.ink),
                open: widget(self.night, Stroke::new(size::HAIR, self.ink), self.ink),
            },
            selection: Selection { bg_fill: self.picked, stroke: Stroke::new(size::OUTLINE, self.focus) },
            hyperlink_color: self.safe,
            faint_bg_color: self.panel,
            extreme_bg_color: self.paper,
            text_edit_bg_color: Some(self.paper),
            code_bg_color: self.panel,
            warn_fg_color: self.caution,
            error_fg_color: self.error,
            window_corner_radius: CornerRadius::ZERO,
            window_shadow: Shadow::NONE,
            window_fill: self.paper,
            window_stroke: Stroke::new(size::HAIR, self.ink),
            menu_corner_radius: CornerRadius::ZERO,
            popup_shadow: Shadow::NONE,
            panel_fill: self.paper,
            // A blinking line would draw the window anew for as long as a field has the focus.
            text_cursor: TextCursorStyle {
                stroke: Stroke::new(size::DAY, self.ink),
                blink: false,
                ..TextCursorStyle::default()
            },
            striped: false,
            slider_trailing_fill: false,
            handle_shape: HandleShape::Rect { aspect_ratio: 0.5 },
            numeric_color_space: NumericColorSpace::GammaByte,
            ..base
        }
    }

    fn dress(&self, style: &mut Style) {
        style.visuals = self.visuals();
        style.text_styles = [
            (TextStyle::Small, plain(size::SMALL)),
            (TextStyle::Body, plain(size::BODY)),
            (TextStyle::Button, plain(size::BODY)),
            (TextStyle::Monospace, plain(size::BODY)),
            (TextStyle::Heading, semibold(size::HEAD)),
            (strong(), semibold(size::BODY)),
            (figure(), semibold(size::FIGURE)),
        ]
        .into();
        // Nothing moves by itself: no frame is drawn for an animation's sake.
        style.animation_time = 0.0;
        style.scroll_animation = egui::style::ScrollAnimation::none();
        style.interaction.selectable_labels = false;
        style.interaction.tooltip_delay = 0.4;
        style.drag_value_text_style = TextStyle::Body;
        let s = &mut style.spacing;
        s.item_spacing = vec2(size::GAP, size::LINE);
        s.button_padding = vec2(8.0, 3.0);
        s.interact_size = vec2(size::HIT.0, size::ROW);
        s.menu_margin = Margin::same(6);
        s.window_margin = Margin::same(size::PAD as i8);
        s.indent = size::PAD;
        s.tooltip_width = 360.0;
        s.menu_width = 320.0;
        s.scroll = ScrollStyle { bar_width: 8.0, ..ScrollStyle::solid() };
    }
}

/// Frame of a card in front of the sheet.
pub fn card(ctx: &Context) -> egui::Frame {
    egui::Frame::popup(&ctx.global_style()).inner_margin(Margin::same(size::PAD as i8))
}

/// Whether a card is left, by Escape or a click beside it. A card that has grown or shrunk stands in the middle only a
/// frame later: that frame is drawn at once, so that nothing moves under the pointer afterwards.
pub fn left<T>(card: &egui::ModalResponse<T>) -> bool {
    let (ctx, high) = (&card.response.ctx, card.response.rect.height());
    let id = card.response.id.with("height");
    if ctx.data(|d| d.get_temp::<f32>(id)) != Some(high) {
        ctx.data_mut(|d| d.insert_temp(id, high));
        ctx.request_repaint();
    }
    card.should_close()
}

/// What lies between the sheet and a card in front of it: the sheet stays legible.
pub fn veil(ctx: &Context) -> Color32 {
    Color32::from_black_alpha(if Theme::of(ctx).dark { 110 } else { 45 })
}

/// The bundled typeface alone: what it lacks is painted, and looks the same on every machine.
fn fonts() -> FontDefinitions {
    let mut out = FontDefinitions::empty();
    let mut add = |name: &str, bytes: &'static [u8], families: &[FontFamily]| {
        out.font_data.insert(name.to_string(), Arc::new(FontData::from_static(bytes)));
        for family in families {
            out.families.insert(family.clone(), vec![name.to_string()]);
        }
    };
    // Its figures are all of one width, so columns of numbers need no second face.
    add(
        "plain",
        include_bytes!("../../assets/type/IBMPlexSans-Regular.ttf"),
        &[FontFamily::Proportional, FontFamily::Monospace],
    );
    add(SEMIBOLD, include_bytes!("../../assets/type/IBMPlexSans-SemiBold.ttf"), &[FontFamily::Name(SEMIBOLD.into())]);
    out
}

/// Dresses the window: typeface, light or dark paper, and everything `scale` times as large.
///
/// Call it at the start and when one of the two changes. `scale` is brought within [`size::SCALE`].
pub fn apply(ctx: &Context, dark: bool, scale: f32) {
    ctx.set_fonts(fonts());
    ctx.set_theme(if dark { egui::Theme::Dark } else { egui::Theme::Light });
    ctx.style_mut_of(egui::Theme::Light, |s| LIGHT.dress(s));
    ctx.style_mut_of(egui::Theme::Dark, |s| DARK.dress(s));
    // The keys for larger and smaller are ours, so that the scale is remembered.
    ctx.options_mut(|o| o.zoom_with_keyboard = false);
    ctx.set_zoom_factor(if scale.is_finite() { scale.clamp(size::SCALE.0, size::SCALE.1) } else { 1.0 });
}
