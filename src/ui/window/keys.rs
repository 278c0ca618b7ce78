//! The keys of the commands: which are listened to now, and whether a field being written in owns them.

use egui::{Context, InputState, Key, KeyboardShortcut};

use super::Window;
use crate::ui::action::{Action, Command};
use crate::ui::{bench, explain, find};

impl Window {
    /// Keys of the commands. A field being written in owns the keys it writes with and its own undo; one in
    /// which nothing is typed passes undo on to the job.
    pub(super) fn keys(&mut self, ctx: &Context) -> Vec<Action> {
        let mut out = Vec::new();
        if self.finder.is_some() || self.promising.is_some() || self.site.carded() || self.printing.is_some() {
            return out;
        }
        let alone = self.client.showing();
        if self.files.carded() && !alone {
            return out;
        }
        let free = self.client.at_hand() && !ctx.text_edit_focused() && !explain::is_open(ctx);
        if free && ctx.input_mut(|i| i.consume_key(egui::Modifiers::NONE, Key::Escape)) {
            self.client.leave();
        }
        // On the page of a broken file there is no job to change or look at.
        let page = self.files.broken().is_some();
        let typing = ctx.text_edit_focused();
        let measuring = !self.on_site() && self.measure_drawn() && self.measure.takes_letters(ctx);
        let letters = self.section.takes_letters(ctx) || measuring;
        let bare = typing
            && ctx
                .memory(|m| m.focused())
                .is_some_and(|id| self.measure.bare() == Some(id) || bench::near::at_rest(ctx) == Some(id));
        // Ctrl+S also takes Ctrl+Shift+S: keys with Shift are looked for first.
        let shifted = |c: &Command| c.shortcut().is_some_and(|k| k.modifiers.shift);
        let (first, then): (Vec<_>, Vec<_>) = Command::ALL.into_iter().partition(shifted);
        for command in first.into_iter().chain(then) {
            if page && !matches!(command, Command::New | Command::Open | Command::Quit) {
                continue;
            }
            // Nothing of his is opened or changed in front of the client.
            if alone && !beside_the_page(command) {
                continue;
            }
            let own = matches!(command, Command::Undo | Command::Redo);
            let Some(key) = command.shortcut() else { continue };
            if (typing && ((own && !bare) || key.modifiers.is_none())) || (letters && key.modifiers.is_none()) {
                continue;
            }
            if self.can(command) && ctx.input_mut(|i| pressed(i, command, &key)) {
                if let Some(id) = ctx.memory(|m| m.focused()).filter(|_| typing && !(own && bare)) {
                    ctx.memory_mut(|m| m.surrender_focus(id));
                }
                out.push(Action::Do(command));
                if matches!(command, Command::Find | Command::FindStep) && !typing {
                    // On a slow screen the letters for the box come with the key that opens it.
                    let heard = find::texts(ctx);
                    let own = if command == Command::FindStep { "/" } else { "" };
                    self.heard = heard.strip_prefix(own).unwrap_or(&heard).to_string();
                    return out;
                }
            }
        }
        if !typing
            && !explain::is_open(ctx)
            && self.session.question().is_some()
            && ctx.input(|i| i.key_pressed(egui::Key::Escape))
        {
            out.push(Action::DropQuestion);
        }
        out
    }
}

/// Commands that have nothing to show but the client's page, or nothing at all.
pub(super) fn beside_the_page(command: Command) -> bool {
    let look = matches!(command, Command::LightDark | Command::Larger | Command::Smaller | Command::PlainSize);
    look || matches!(command, Command::Client | Command::Print | Command::Save | Command::Quit)
}

/// Whether the key of a command was pressed. Plus shares its key with the equals sign on many
/// keyboards, and is meant with and without Shift.
fn pressed(i: &mut InputState, command: Command, key: &KeyboardShortcut) -> bool {
    i.consume_shortcut(key) || (command == Command::Larger && i.consume_key(key.modifiers, Key::Equals))
}
