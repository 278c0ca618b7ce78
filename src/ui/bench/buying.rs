//! The buying list: by supplier, what, how much, when to order it, and how each stick is cut.
//!
//! The figures are those of `roomback buying` with a usual saw's cut: of a job under way what is still to buy.

use egui::{Label, RichText, Role, Sense, StrokeKind, Ui, WidgetInfo, pos2, vec2};

use super::field::row;
use super::fold::{fold, zone};
use super::{BenchState, Zone};
use crate::buying::BuyRow;
use crate::trade::Supplier;
use crate::ui::Scene;
use crate::ui::explain;
use crate::ui::shown::PricedOf;
use crate::ui::theme::{Theme, plain, size};
use crate::views::{self, StickDrawn};

/// Height of a stick, and of the air below it.
const STICK: f32 = 15.0;
const AIR: f32 = 4.0;

/// The list, a fold a supplier.
pub(super) fn show(ui: &mut Ui, scene: &Scene, state: &mut BenchState) {
    if scene.job.study.is_some() {
        return;
    }
    let asked = state.asked(Zone::Buying);
    zone(ui, "Buying list", true, asked, |ui| {
        let Some((of, _)) = scene.priced() else {
            ui.label("working out…");
            return;
        };
        let list = of.list();
        if list.rows.is_empty() {
            ui.label(views::nothing_words(list));
        }
        for supplier in Supplier::ALL {
            let rows: Vec<&BuyRow> = list.rows.iter().filter(|r| r.supplier == supplier).collect();
            if rows.is_empty() {
                continue;
            }
            let total = views::supplier_total(list, supplier);
            let words = format!("{}, {}", views::supplier_words(supplier), total.value);
            fold(ui, ("supplier", views::supplier_words(supplier)), &words, rows.len() < 4, |ui| {
                for (i, r) in rows.iter().enumerate() {
                    ui.push_id(i, |ui| one(ui, of, r));
                }
            });
        }
        if !list.rows.is_empty() {
            row(ui, "", if list.had.is_some() { "still to buy" } else { "all of it" }, |f| {
                explain::told(f.ui, "all of the buying list", &views::buying_total(list));
            });
        }
        let had = views::had_words(list);
        if !had.is_empty() {
            ui.add(Label::new(RichText::new(had).color(Theme::of(ui.ctx()).quiet).size(size::SMALL)).wrap());
        }
        for l in &list.left_out {
            let color = Theme::of(ui.ctx()).target;
            ui.add(Label::new(RichText::new(l).color(color)).wrap());
        }
    });
}

fn one(ui: &mut Ui, of: &PricedOf, r: &BuyRow) {
    let theme = Theme::of(ui.ctx());
    let l = views::buy_line(&of.sound, r);
    ui.add_space(2.0);
    ui.add(Label::new(RichText::new(&l.name).text_style(crate::ui::theme::strong())).wrap());
    explain::told(ui, &l.name, &l.packs);
    explain::told(ui, "cost", &l.cost);
    for n in &l.notes {
        ui.add(Label::new(RichText::new(n).color(theme.quiet)).wrap());
    }
    let longest = r.sticks.iter().map(|s| s.nominal).max().unwrap_or_default();
    for s in &r.sticks {
        stick(ui, &views::stick_drawn(&of.sound.job, s, longest, of.list().kerf), theme);
    }
    if !l.order.is_empty() {
        ui.add(Label::new(RichText::new(&l.order).color(theme.quiet)).wrap());
    }
}

/// A stick with its pieces, what is left blank; words where they find room.
fn stick(ui: &mut Ui, s: &StickDrawn, theme: &Theme) {
    let wide = ui.available_width() - 2.0;
    let (area, response) = ui.allocate_exact_size(vec2(wide, STICK + AIR), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &s.words));
    let p = ui.painter();
    let at = |share: f32| area.left() + 1.0 + share * (wide - 2.0);
    let bar = |a: f32, b: f32| egui::Rect::from_min_max(pos2(at(a), area.top()), pos2(at(b), area.top() + STICK));
    p.rect_stroke(bar(0.0, s.long), 0.0, (size::HAIR, theme.edge), StrokeKind::Inside);
    for (from, to, words) in &s.pieces {
        let rect = bar(*from, *to);
        p.rect_filled(rect, 0.0, theme.room.tint);
        p.rect_stroke(rect, 0.0, (size::HAIR, theme.room.line), StrokeKind::Inside);
        let font = plain(size::SMALL - 1.0);
        let galley = p.layout_no_wrap(words.clone(), font, theme.ink);
        if galley.size().x + 4.0 <= rect.width() {
            p.galley(rect.center() - galley.size() / 2.0, galley, theme.ink);
        }
    }
    response.on_hover_text(&s.words);
}
