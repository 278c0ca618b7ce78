//! A window on a job, used by the names its controls give to a screen reader.

use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};

use egui::accesskit::Role;
use egui::{Event, Modifiers, OutputCommand, Rect, UiBuilder, Vec2, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use egui_kittest::{Harness, Node};
use roomback::ui::Window;
use roomback::ui::action::Command;
use roomback::ui::files::{Files, Folders};
use roomback::ui::worker::Worker;

use crate::raster::Raster;

/// The sizes every screen is looked at.
pub const SMALL: Vec2 = vec2(1280.0, 720.0);
pub const LARGE: Vec2 = vec2(1920.0, 1080.0);
pub const HUGE: Vec2 = vec2(3840.0, 2160.0);

/// Trials behind the answers where their number does not matter.
pub const FEW: usize = 500;

pub const SAMPLES: [&str; 5] = ["hall", "house", "nursery", "powder", "study"];

/// Path of a sample job.
pub fn sample(name: &str) -> String {
    format!("{}/sample-jobs/{name}.ron", env!("CARGO_MANIFEST_DIR"))
}

/// Something on the screen, as a screen reader is told of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Named {
    pub role: Role,
    pub name: String,
    pub value: String,
    pub rect: Rect,
    pub enabled: bool,
    /// Whether it stands in no other named thing, and none in it.
    pub alone: bool,
    /// Name of the thing it stands in, the nearest that has one.
    pub in_named: Option<String>,
}

/// A folder of one test's own, gone with it.
pub struct Folder(PathBuf);

impl Folder {
    pub fn new() -> Folder {
        static COUNT: AtomicUsize = AtomicUsize::new(0);
        let n = COUNT.fetch_add(1, Ordering::Relaxed);
        let path = std::env::temp_dir().join(format!("roomback-window-{}-{n}", std::process::id()));
        std::fs::create_dir_all(&path).expect("a folder");
        Folder(path)
    }

    pub fn file(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }

    pub fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.file(name)).expect(name)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// What a thing is called: its label, and for plain words the words.
fn name_of(n: &Node) -> Option<String> {
    let a = n.accesskit_node();
    let words = || if a.role() == Role::Label { a.value() } else { None };
    a.label().or_else(words).filter(|l| !l.is_empty())
}

/// A window being used. Its job is `job.ron` in `folder`.
pub struct Used {
    pub h: Harness<'static, Window>,
    pub folder: Folder,
    /// Commands, buttons and fields are reached by keys alone: the box of Ctrl+K, Tab, Enter.
    pub by_keys: bool,
}

impl Used {
    /// A window of that size on a sample, settled, its odds from so many trials.
    pub fn open(name: &str, size: Vec2, trials: usize) -> Used {
        let text = std::fs::read_to_string(sample(name)).expect("a sample");
        Used::on(&text, size, trials)
    }

    /// The same on a job file's text.
    pub fn on(text: &str, size: Vec2, trials: usize) -> Used {
        let folder = Folder::new();
        std::fs::write(folder.file("job.ron"), text).expect("written");
        Used::of(folder, size, trials)
    }

    /// The same at a text size.
    pub fn scaled(text: &str, size: Vec2, trials: usize, scale: f32) -> Used {
        let folder = Folder::new();
        std::fs::write(folder.file("job.ron"), text).expect("written");
        std::fs::write(folder.file("settings.ron"), format!("(text_scale: {scale:?})")).expect("written");
        let mut w = Used::of(folder, size, trials);
        // The harness is given points; a window of so many pixels has fewer of them.
        w.h.set_size(size / scale);
        w.rest();
        w
    }

    /// A window on a job file's text that takes it to be a day, such as `2027-03-02`.
    pub fn on_day(text: &str, day: &str, size: Vec2, trials: usize) -> Used {
        let folder = Folder::new();
        std::fs::write(folder.file("job.ron"), text).expect("written");
        Used::believing(folder, size, trials, Some(day.parse().expect("a day")))
    }

    /// A window on `job.ron` of a folder, in which it also keeps what is its own.
    pub fn of(folder: Folder, size: Vec2, trials: usize) -> Used {
        Used::believing(folder, size, trials, None)
    }

    fn believing(folder: Folder, size: Vec2, trials: usize, today: Option<chrono::NaiveDate>) -> Used {
        let own = Folders {
            settings: Some(folder.file("settings.ron")),
            unsaved: Some(folder.file("unsaved")),
            home: Some(folder.0.clone()),
        };
        let (files, session) = Files::start(own, Some(folder.file("job.ron")));
        let window = Window::new(files.believing(today), session, Worker::inline(trials));
        // The harness draws within a margin of its own; a window has none.
        let draw = |ui: &mut egui::Ui, w: &mut Window| {
            let all = ui.ctx().content_rect();
            ui.set_clip_rect(all);
            ui.scope_builder(UiBuilder::new().max_rect(all), |ui| {
                w.logic(ui.ctx());
                w.ui(ui);
            });
        };
        let h = Harness::builder()
            .with_size(size)
            .with_theme(egui::Theme::Light)
            .with_max_steps(40)
            .renderer(Raster::default())
            .build_ui_state(draw, window);
        let mut out = Used { h, folder, by_keys: false };
        out.rest();
        out
    }

    /// The job as it would be written.
    pub fn job_text(&self) -> String {
        roomback::jobfile::write(self.h.state().job())
    }

    /// Draws until the answer on the screen is whole, or what stands against one is said.
    #[track_caller]
    pub fn rest(&mut self) {
        self.h.run();
        for _ in 0..20 {
            let w = self.h.state();
            if w.at_rest() || !w.problems().is_empty() {
                self.h.run();
                return;
            }
            self.h.step();
        }
        panic!("the window does not come to rest");
    }

    /// Everything on the screen that has a name, in the order it is read out.
    pub fn named(&self) -> Vec<Named> {
        self.h
            .root()
            .children_recursive()
            .filter_map(|n| {
                let a = n.accesskit_node();
                let name = name_of(&n)?;
                a.bounding_box()?;
                let in_named = std::iter::successors(n.parent(), |p| p.parent()).find_map(|p| name_of(&p));
                let holds = n.children_recursive().any(|c| name_of(&c).is_some());
                Some(Named {
                    role: a.role(),
                    name,
                    value: a.value().unwrap_or_default(),
                    rect: n.rect(),
                    enabled: !a.is_disabled(),
                    alone: in_named.is_none() && !holds,
                    in_named,
                })
            })
            .collect()
    }

    /// The one thing whose name begins so.
    #[track_caller]
    pub fn beginning(&self, start: &str) -> Named {
        let mut all: Vec<Named> = self.named().into_iter().filter(|n| n.name.starts_with(start)).collect();
        assert_eq!(all.len(), 1, "{start}: {all:?}");
        all.remove(0)
    }

    /// The one thing of this name in the thing of that name.
    #[track_caller]
    pub fn called_in(&self, outer: &str, name: &str) -> Named {
        let fits = |n: &Named| n.name == name && n.in_named.as_deref() == Some(outer);
        let mut all: Vec<Named> = self.named().into_iter().filter(fits).collect();
        assert_eq!(all.len(), 1, "{name}: {all:?}");
        all.remove(0)
    }

    pub fn has(&self, name: &str) -> bool {
        self.named().iter().any(|n| n.name == name)
    }

    /// Clicks what has this name, and waits for the window to come to rest.
    #[track_caller]
    pub fn press(&mut self, name: &str) {
        if self.by_keys {
            self.reach(name);
            self.hit(egui::Key::Enter);
            return;
        }
        self.h.get_by_label(name).click();
        self.rest();
    }

    pub fn hit(&mut self, key: egui::Key) {
        self.h.key_press(key);
        self.rest();
    }

    pub fn type_in(&mut self, text: &str) {
        self.h.event(Event::Text(text.into()));
        self.h.run();
    }

    /// What has the keyboard: its role and name.
    pub fn focused(&self) -> Option<(Role, String)> {
        let all = self.h.root().children_recursive();
        let node = all.into_iter().find(|n| n.accesskit_node().is_focused())?;
        let a = node.accesskit_node();
        Some((a.role(), a.label().unwrap_or_default()))
    }

    /// Presses Tab until what has this name has the keyboard.
    #[track_caller]
    pub fn reach(&mut self, name: &str) {
        for _ in 0..300 {
            if self.focused().is_some_and(|f| f.1 == name) {
                return;
            }
            self.h.key_press(egui::Key::Tab);
            self.h.run();
        }
        panic!("Tab does not come to {name}: {:?}", self.named());
    }

    /// Finds a command in the box and does it; nothing is drawn after Enter yet.
    #[track_caller]
    fn find_and_do(&mut self, command: Command) {
        self.key(Command::Find);
        self.type_in(command.text().trim_end_matches('…'));
        let first = self.named().into_iter().find(|n| n.role == Role::MenuItem).expect("something found");
        assert!(first.name.starts_with(command.text()), "{} for {}", first.name, command.text());
        // Down alone: up is a frame of its own, and only its own frame says that the window closes.
        let (key, modifiers) = (egui::Key::Enter, Modifiers::NONE);
        self.h.event(Event::Key { key, physical_key: None, pressed: true, repeat: false, modifiers });
    }

    /// Does a command by the menu.
    #[track_caller]
    pub fn menu(&mut self, command: Command) {
        self.open_menu_at(command);
        self.rest();
        if self.by_keys {
            self.h.key_up(egui::Key::Enter);
            self.h.run();
        }
    }

    /// Opens the menu and clicks a command; nothing is drawn after the click yet.
    #[track_caller]
    pub fn open_menu_at(&mut self, command: Command) {
        if self.by_keys {
            self.find_and_do(command);
            return;
        }
        self.press("Menu");
        // The menu scrolls where it is higher than the window.
        self.h.get_by_role_and_label(Role::MenuItem, command.text()).scroll_to_me();
        self.rest();
        self.h.get_by_role_and_label(Role::MenuItem, command.text()).click();
    }

    /// Does a command by its key.
    #[track_caller]
    pub fn key(&mut self, command: Command) {
        let k = command.shortcut().expect("a command with a key");
        self.h.key_press_modifiers(k.modifiers, k.logical_key);
        self.rest();
    }

    /// Does a command by its key and says what came to the clipboard.
    pub fn copied_by(&mut self, command: Command) -> Option<String> {
        let k = command.shortcut().expect("a command with a key");
        // Every event is a frame of its own, and only its own frame has what was copied.
        self.h.event(Event::Key {
            key: k.logical_key,
            physical_key: None,
            pressed: true,
            repeat: false,
            modifiers: k.modifiers,
        });
        self.h.step();
        let out = self.copied();
        self.h.key_up(k.logical_key);
        self.rest();
        out
    }

    /// What the last frame put on the clipboard.
    pub fn copied(&self) -> Option<String> {
        self.h.output().platform_output.commands.iter().find_map(|c| match c {
            OutputCommand::CopyText(t) => Some(t.clone()),
            _ => None,
        })
    }

    /// Writes over what stands in a field, and leaves it by Enter.
    #[track_caller]
    pub fn write(&mut self, field: &str, text: &str) {
        self.click_field(field);
        self.h.key_press_modifiers(Modifiers::COMMAND, egui::Key::A);
        self.h.event(Event::Text(text.to_string()));
        self.h.run();
        self.h.key_press(egui::Key::Enter);
        self.rest();
    }

    /// Clicks into a field.
    #[track_caller]
    pub fn click_field(&mut self, field: &str) {
        if self.by_keys {
            self.reach(field);
            return;
        }
        // The column scrolls: the field may be out of view.
        self.h.get_by_role_and_label(Role::TextInput, field).scroll_to_me();
        self.h.run();
        self.h.get_by_role_and_label(Role::TextInput, field).click();
        self.h.run();
    }

    /// Clicks at a point of the window.
    #[track_caller]
    pub fn click_at(&mut self, at: egui::Pos2) {
        self.h.hover_at(at);
        self.h.drag_at(at);
        self.h.drop_at(at);
        self.rest();
    }

    /// Takes the keyboard from whatever field has it.
    pub fn leave_fields(&mut self) {
        self.h.ctx.memory_mut(|m| {
            if let Some(id) = m.focused() {
                m.surrender_focus(id);
            }
        });
        self.rest();
    }

    /// Unfolds a room on the bench, if it is folded, and brings its measures into view.
    #[track_caller]
    pub fn show_room(&mut self, room: &str) {
        let field = format!("length, {room}");
        if !self.has(&field) {
            if !self.named().iter().any(|n| n.role == Role::Button && n.name == room) {
                self.press(Command::Measure.text());
            }
            if self.by_keys {
                self.press(room);
                return;
            }
            self.bring(Role::Button, room);
            self.h.get_by_role_and_label(Role::Button, room).click();
            self.rest();
        }
        if self.by_keys {
            return;
        }
        self.bring(Role::TextInput, &field);
    }

    /// Scrolls something into view.
    #[track_caller]
    pub fn bring(&mut self, role: Role, name: &str) {
        self.h.get_by_role_and_label(role, name).scroll_to_me();
        self.rest();
    }

    /// The screen as a picture, the mouse away.
    pub fn picture(&mut self) -> image::RgbaImage {
        self.h.remove_cursor();
        self.h.run();
        self.h.render().expect("a picture")
    }
}
