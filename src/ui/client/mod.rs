//! Client: the page that is shown. First *What they see*, a narrow panel with the page small beside
//! it; then the page alone, without strip, menu, cards or anything of other jobs, until Escape.
//!
//! The page is `views::client`, laid out for the window there and painted here; no word and no figure
//! is made here. What cannot be shown yet says so in the client's words.

mod page;

use std::sync::Arc;

use egui::{CentralPanel, Frame, Key, Label, Margin, Modifiers, Panel, RichText, ScrollArea, Ui, vec2};

use super::Scene;
use super::action::{Action, Command};
use super::theme::{Theme, size};
use crate::job::Edit;
use crate::views::client::{ClientPage, Drawn, client_roll, client_wait_roll, seen};

/// Width of the panel.
const PANEL: f32 = 330.0;

/// How far the page has come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Stage {
    /// Another mode is at hand.
    #[default]
    Away,
    /// What they see is being chosen.
    Choosing,
    /// The page alone.
    Showing,
}

/// What a page was drawn for: its answer, the window in whole points; none where there is no page.
type DrawnFor = (Option<u64>, bool, i32, i32);

/// What the mode remembers.
#[derive(Clone, Debug, Default)]
pub struct ClientState {
    stage: Stage,
    /// The page last read, and the revision it is of.
    read: Option<(u64, Arc<ClientPage>)>,
    drawn: Option<(DrawnFor, Arc<Drawn>)>,
    /// How far the page is scrolled, points, and how far it can be.
    down: f32,
    most: f32,
}

impl ClientState {
    /// Whether the mode is at hand.
    pub fn at_hand(&self) -> bool {
        self.stage != Stage::Away
    }

    /// Whether the page is shown alone.
    pub fn showing(&self) -> bool {
        self.stage == Stage::Showing
    }

    /// To the panel; from the panel to the page; from the page to the panel.
    pub fn turn(&mut self) {
        self.stage = if self.stage == Stage::Choosing { Stage::Showing } else { Stage::Choosing };
        self.down = 0.0;
    }

    /// From the page to the panel: a card with a path is nothing for the client.
    pub fn beside(&mut self) {
        if self.stage == Stage::Showing {
            self.stage = Stage::Choosing;
        }
    }

    /// Back to the mode before.
    pub fn leave(&mut self) {
        self.stage = Stage::Away;
    }

    /// The page, of the last whole answer.
    fn read(&mut self, scene: &Scene) -> Option<Arc<ClientPage>> {
        if let Some(made) = scene.besides.client.as_ref().filter(|_| scene.job.study.is_none()) {
            self.read = Some(made.clone());
        }
        self.read.as_ref().filter(|_| scene.problems.is_empty()).map(|r| r.1.clone())
    }

    /// The page laid out for a window of this size.
    fn drawn(&mut self, scene: &Scene, (wide, high): (f32, f32)) -> Arc<Drawn> {
        let page = self.read(scene);
        let of = self.read.as_ref().filter(|_| page.is_some()).map(|r| r.0);
        let key = (of, scene.problems.is_empty(), wide.round() as i32, high.round() as i32);
        if let Some((_, d)) = self.drawn.as_ref().filter(|d| d.0 == key) {
            return d.clone();
        }
        let unit = page::unit(wide);
        let drawn = Arc::new(match &page {
            Some(p) => client_roll(p, (wide, high), unit),
            None => client_wait_roll(!scene.problems.is_empty(), (wide, high), unit),
        });
        self.drawn = Some((key, drawn.clone()));
        drawn
    }
}

/// Draws the mode below the strip, or the page alone. Whether it stays at hand.
pub fn show(ui: &mut Ui, scene: &Scene, state: &mut ClientState, out: &mut Vec<Action>) {
    let theme = Theme::of(ui.ctx());
    let whole = ui.ctx().content_rect().size();
    if state.stage == Stage::Choosing {
        let frame = Frame::NONE.fill(theme.panel).inner_margin(Margin::same(size::PAD as i8));
        Panel::left("what they see").exact_size(PANEL).resizable(false).frame(frame).show(ui, |ui| {
            ScrollArea::vertical().auto_shrink([false, false]).show(ui, |ui| choices(ui, scene, state, out));
        });
    }
    let drawn = state.drawn(scene, (whole.x, whole.y));
    CentralPanel::default().frame(Frame::NONE.fill(theme.paper)).show(ui, |ui| {
        if state.showing() {
            turned(ui, state, whole.y);
        }
        let area = ScrollArea::vertical().id_salt("client's page").auto_shrink([false, false]);
        let scale = if state.showing() { 1.0 } else { ((ui.available_width() - size::PAD) / whole.x).min(1.0) };
        let at = area.vertical_scroll_offset(state.down).show(ui, |ui| {
            let bar = ui.spacing().scroll.bar_width;
            let fits = drawn.page.h <= whole.y + 0.5;
            // A page longer than the window leaves room for the bar.
            let scale = if fits { scale } else { scale * (whole.x - bar - 2.0) / whole.x };
            let (rect, _) = ui.allocate_exact_size(vec2(drawn.page.w, drawn.page.h) * scale, egui::Sense::hover());
            page::paint(ui, &drawn, rect.min, scale, theme);
        });
        state.down = at.state.clamped_offset().y;
        state.most = (at.content_size.y - at.inner_rect.height()).max(0.0);
        if state.showing() && page::corner(ui, theme) {
            state.leave();
        }
    });
}

/// The page is turned by the keys.
fn turned(ui: &mut Ui, state: &mut ClientState, high: f32) {
    let far = high * 0.85;
    let keys = [
        (Key::ArrowDown, 60.0),
        (Key::ArrowUp, -60.0),
        (Key::PageDown, far),
        (Key::PageUp, -far),
        (Key::Home, f32::NEG_INFINITY),
        (Key::End, f32::INFINITY),
    ];
    for (key, by) in keys {
        if ui.input_mut(|i| i.consume_key(Modifiers::NONE, key)) {
            state.down = (state.down + by).clamp(0.0, state.most);
        }
    }
}

/// What they see: the switches, each one change.
fn choices(ui: &mut Ui, scene: &Scene, state: &mut ClientState, out: &mut Vec<Action>) {
    let theme = Theme::of(ui.ctx());
    let quiet = |ui: &mut Ui, text: &str| {
        ui.add(Label::new(RichText::new(text).color(theme.quiet)).wrap());
    };
    ui.heading("What they see");
    quiet(
        ui,
        "The day, the weeks, what is needed, what is safe to use when, what to heed. Never hours, rates or dollars.",
    );
    ui.add_space(size::GAP);
    let switches = seen(&scene.job.client_page);
    for (n, s) in switches.iter().enumerate() {
        if n == 1 {
            ui.add_space(size::PAD);
            ui.heading("What could move the day");
            quiet(ui, "Shown where it costs half a day or more:");
        }
        let mut on = s.on;
        if ui.checkbox(&mut on, s.words).changed() {
            out.push(Action::Edit(vec![Edit::ClientPage(Box::new(s.turned.clone()))]));
        }
    }
    ui.add_space(size::ZONE);
    let wide = vec2(ui.available_width(), 28.0);
    let button = |ui: &mut Ui, words: &str, key: String| {
        ui.add(egui::Button::new(words).min_size(wide).shortcut_text(key)).accessible_name(words).clicked()
    };
    let key = |c: Command| c.key_words(ui.ctx());
    let (show, print) = (key(Command::Client), key(Command::Print));
    if button(ui, "Show the page", show) {
        state.turn();
    }
    if button(ui, Command::Print.text(), print) {
        out.push(Action::Do(Command::Print));
    }
    if button(ui, "Back", "Esc".into()) {
        state.leave();
    }
    ui.add_space(size::GAP);
    quiet(
        ui,
        "While the page is shown nothing else is on the screen. Esc leaves it; the key of this mode brings this panel back.",
    );
}
