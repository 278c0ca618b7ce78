//! A measure of the drawing, clicked or taken up by Enter, and typed over in its place.

use egui::{Id, Key, Label, Modifiers, Rect, Response, RichText, TextEdit, Ui, Vec2, vec2};

use super::draw::{Desk, DrawState, part_of};
use super::ink;
use crate::job::Units;
use crate::measure::{Length, Unit};
use crate::ui::action::Action;
use crate::ui::theme::{Theme, size};
use crate::views::drawing::{Dim, Part, Target, change};
use crate::views::section::Pos;

/// Width of the field a measure is typed into.
const FIELD: f32 = 84.0;
/// Room for what is said under it.
const SAID: f32 = 240.0;

/// A measure being typed.
#[derive(Clone, Debug)]
pub struct Typing {
    pub of: Dim,
    text: String,
    wrong: Option<String>,
    fresh: bool,
}

/// A measure taken up for typing, as it stands.
pub fn begun(desk: &Desk, of: Dim) -> Typing {
    let now = desk.drawing.hits.iter().find(|h| h.of == Target::Dim(of));
    let text = now.and_then(|h| h.name.rsplit_once(": ")).map_or(String::new(), |t| t.1.to_string());
    Typing { of, text, wrong: None, fresh: true }
}

/// The measures of a part, in the order they are typed.
pub fn measures(desk: &Desk, part: Part) -> Vec<Dim> {
    let shown = |d: &Dim| desk.drawing.hits.iter().any(|h| h.of == Target::Dim(*d));
    let all = match part {
        Part::Wall(w) => vec![Dim::Length(w), Dim::Height(w)],
        Part::Opening(o, k) => {
            [Dim::From(o, k), Dim::Width(o, k), Dim::High(o, k), Dim::Sill(o, k), Dim::Before(o, k), Dim::Behind(o, k)]
                .to_vec()
        }
        Part::Boxes(_) => Vec::new(),
    };
    all.into_iter().filter(shown).collect()
}

/// The field over a measure being typed. Enter commits, Tab commits and goes on, Escape leaves it.
pub fn show(ui: &mut Ui, desk: &Desk, response: &Response, state: &mut DrawState, out: &mut Vec<Action>) {
    let Some(mut t) = state.typing.take() else { return };
    let Some(hit) = desk.drawing.hits.iter().find(|h| h.of == Target::Dim(t.of)) else { return };
    let theme = Theme::of(ui.ctx());
    let a = hit.area();
    let middle = ink::at(desk.area.min, Pos { x: a.x + a.w / 2.0, y: a.y + a.h / 2.0 });
    let wanted = Rect::from_center_size(middle, vec2(FIELD, size::ROW));
    let by = Vec2::new(
        (desk.area.left() - wanted.left()).max(0.0) - (wanted.right() - desk.area.right()).max(0.0),
        (desk.area.top() - wanted.top()).max(0.0) - (wanted.bottom() - desk.area.bottom()).max(0.0),
    );
    let at = wanted.translate(by);
    let id = Id::unique(("measure of the drawing", ui.scope_id()));
    let next = ui.memory(|m| m.has_focus(id)) && ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::Tab));
    let what = hit.name.rsplit_once(": ").map_or(hit.name.as_str(), |x| x.0).to_string();
    let name = format!("{what}, {}", desk.name);
    let color = t.wrong.is_some().then_some(theme.error);
    let edit = TextEdit::singleline(&mut t.text).id(id).desired_width(FIELD - 8.0).text_color_opt(color);
    let field = ui.put(at, edit).accessible_name(name);
    if std::mem::take(&mut t.fresh) {
        field.request_focus();
        let mut all = egui::text_edit::TextEditState::load(ui.ctx(), id).unwrap_or_default();
        let end = egui::text::CCursor::new(t.text.chars().count());
        all.cursor.set_char_range(Some(egui::text::CCursorRange::two(egui::text::CCursor::default(), end)));
        all.store(ui.ctx(), id);
        state.typing = Some(t);
        return;
    }
    if field.changed() {
        t.wrong = None;
    }
    if let Some(wrong) = &t.wrong {
        let below = Rect::from_min_size(at.left_bottom() + vec2(0.0, 2.0), vec2(SAID, 2.0 * size::ROW));
        let over = (below.right() - desk.area.right()).max(0.0);
        let text = RichText::new(wrong).color(theme.error).size(size::SMALL).background_color(theme.paper);
        ui.put(below.translate(vec2(-over, 0.0)), Label::new(text).wrap());
    }
    if field.lost_focus() && ui.input(|i| i.key_pressed(Key::Escape)) {
        response.request_focus();
        return;
    }
    if !next && !field.lost_focus() {
        state.typing = Some(t);
        return;
    }
    let entered = next || ui.input(|i| i.key_pressed(Key::Enter));
    match read(&t, desk.scene.job.units).and_then(|l| change::typed(desk.room, desk.scene.job.units, t.of, l)) {
        Ok((room, part)) => {
            state.chosen = part.or(state.chosen);
            // Typed over by the same: a measure finer than it is shown stays as it is.
            if t.text.trim() != begun(desk, t.of).text {
                desk.put(room, out);
            }
            let part = part_of(Target::Dim(t.of)).filter(|_| next);
            let all = part.map(|p| measures(desk, p)).unwrap_or_default();
            let after = all.iter().position(|d| *d == t.of).and_then(|i| all.get(i + 1));
            if let Some(&d) = after {
                state.typing = Some(begun(desk, d));
            } else if entered {
                response.request_focus();
            }
        }
        Err(wrong) => {
            t.wrong = Some(wrong);
            if entered {
                field.request_focus();
            }
            state.typing = Some(t);
        }
    }
}

/// A length in the job's own units: feet or metres for walls, inches or centimetres for the rest.
fn read(t: &Typing, units: Units) -> Result<Length, String> {
    let large = matches!(t.of, Dim::Length(_) | Dim::Height(_));
    let bare = match (units, large) {
        (Units::FeetInches, true) => Unit::Feet,
        (Units::FeetInches, false) => Unit::Inches,
        (Units::Metric, true) => Unit::Metres,
        (Units::Metric, false) => Unit::Centimetres,
    };
    Length::parse_with(&t.text, bare).map_err(|e| e.to_string())
}
