//! The one menu: every command with its key, those that cannot be done now greyed.

use egui::{Popup, Rect, Response, Role, ScrollArea, Sense, Separator, Ui, WidgetInfo, pos2, vec2};

use super::action::{Action, Command, Group};
use super::icons;
use super::theme::{Theme, plain, size};

/// The menu's button in `area`, three painted lines, and the menu below it while it is open.
pub fn button(
    ui: &mut Ui,
    area: Rect,
    can: &dyn Fn(Command) -> bool,
    why_not: &dyn Fn(Command) -> &'static str,
    out: &mut Vec<Action>,
) {
    let theme = Theme::of(ui.ctx());
    let response = ui.interact(area, ui.scope_id().with("menu"), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, "Menu"));
    let p = ui.painter();
    let color = if response.hovered() || response.has_focus() { theme.safe } else { theme.ink };
    icons::menu(p, area, color);
    if response.has_focus() {
        p.rect_stroke(area, 0.0, (size::OUTLINE, theme.focus), egui::StrokeKind::Inside);
    }
    let opened = response.clicked();
    let room = ui.ctx().content_rect();
    Popup::menu(&response).show(|ui| {
        ui.set_width(size::SIDE.min(room.width() - 4.0 * size::PAD));
        let high = room.bottom() - area.bottom() - 2.0 * size::PAD;
        ScrollArea::vertical().max_height(high).min_scrolled_height(high).auto_shrink([false, true]).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 0.0;
            let mut first = opened;
            for (n, group) in Group::ALL.into_iter().enumerate() {
                if n > 0 {
                    ui.add(Separator::default().spacing(size::GAP));
                }
                for command in Command::ALL.into_iter().filter(|c| c.group() == group) {
                    let r = row(ui, command, can(command), why_not);
                    // Who opens the menu by key goes on by key.
                    if std::mem::take(&mut first) {
                        r.request_focus();
                    }
                    if r.clicked() {
                        out.push(Action::Do(command));
                        ui.close();
                    }
                }
            }
        });
    });
}

/// A line of the menu: words left, key right.
fn row(ui: &mut Ui, command: Command, can: bool, why_not: &dyn Fn(Command) -> &'static str) -> Response {
    let theme = Theme::of(ui.ctx());
    let key = command.key_words(ui.ctx());
    let (area, response) = ui
        .allocate_exact_size(vec2(ui.available_width(), size::ROW), if can { Sense::click() } else { Sense::hover() });
    response.widget_info(|| WidgetInfo::labeled(Role::MenuItem, can, command.text()));
    let p = ui.painter();
    if can && (response.hovered() || response.has_focus()) {
        p.rect_filled(area, 0.0, theme.picked);
    }
    let color = if can { theme.ink } else { theme.quiet };
    let font = plain(size::BODY);
    let drawn = egui::Rect::from_min_size(area.left_top() + vec2(4.0, 2.0), vec2(18.0, size::ROW - 4.0));
    match command {
        Command::Quit => icons::door(p, drawn, color),
        Command::Find | Command::FindStep => icons::find(p, drawn, color),
        Command::Measure => icons::level(p, drawn, color),
        Command::Order => icons::roller(p, drawn, color),
        _ => {}
    }
    p.text(pos2(area.left() + 30.0, area.center().y), egui::Align2::LEFT_CENTER, command.text(), font.clone(), color);
    p.text(pos2(area.right() - 6.0, area.center().y), egui::Align2::RIGHT_CENTER, key, font, theme.quiet);
    if response.gained_focus() {
        response.scroll_to_me(None);
    }
    if can {
        response.on_hover_text(command.help())
    } else {
        response.on_hover_text(format!("{}. Not now: {}.", command.help(), why_not(command)))
    }
}
