//! The typeface and the dress of plain controls.

use egui::{Color32, CornerRadius, FontId, Theme as Paper};
use egui_kittest::Harness;
use roomback::ui::theme::{self, DARK, LIGHT, Theme, size};

fn dressed(dark: bool, scale: f32) -> Harness<'static> {
    let mut text = "study".to_string();
    Harness::builder()
        .with_theme(if dark { Paper::Dark } else { Paper::Light })
        .with_context_setup(move |ctx| theme::apply(ctx, dark, scale))
        .build_ui(move |ui| {
            let name = ui.label("Room").id;
            ui.text_edit_singleline(&mut text).labelled_by(name);
            ui.add(egui::Label::new(egui::RichText::new("→ − × ½ ″ ′ ✓ • … ° ≤").text_style(theme::figure())));
        })
}

#[test]
fn figures_have_one_width() {
    let h = dressed(false, 1.0);
    let wide = |font: &FontId, c: char| h.ctx.fonts_mut(|f| f.glyph_width(font, c));
    for font in [theme::plain(size::BODY), theme::semibold(size::FIGURE)] {
        let zero = wide(&font, '0');
        assert!(zero > 0.3 * font.size);
        for c in '1'..='9' {
            assert_eq!(wide(&font, c), zero, "{c} in {font:?}");
        }
    }
    // The weights are two faces.
    assert!(wide(&theme::semibold(100.0), 'm') > wide(&theme::plain(100.0), 'm'));
}

#[test]
fn light_and_dark_and_size_are_put_on() {
    for (dark, want) in [(false, &LIGHT), (true, &DARK)] {
        let h = dressed(dark, 1.0);
        assert_eq!(Theme::of(&h.ctx), want);
        let style = h.ctx.global_style();
        let v = &style.visuals;
        assert_eq!((v.panel_fill, v.window_fill), (want.paper, want.paper));
        assert_eq!(v.text_color(), want.ink);
        assert_eq!(v.weak_text_color(), want.quiet);
        assert_eq!((v.window_corner_radius, v.menu_corner_radius), (CornerRadius::ZERO, CornerRadius::ZERO));
        assert_eq!((v.window_shadow.color.a(), v.popup_shadow.color.a()), (0, 0));
        for w in [&v.widgets.noninteractive, &v.widgets.inactive, &v.widgets.hovered, &v.widgets.active] {
            assert_eq!((w.corner_radius, w.expansion), (CornerRadius::ZERO, 0.0));
            assert_ne!(w.bg_fill, Color32::TRANSPARENT);
        }
        assert!(style.spacing.interact_size.y >= size::HIT.1);
    }
    for (asked, got) in [(1.5, 1.5), (0.1, size::SCALE.0), (9.0, size::SCALE.1), (f32::NAN, 1.0)] {
        let mut h = dressed(false, asked);
        h.run();
        assert_eq!(h.ctx.zoom_factor(), got, "{asked}");
    }
}

#[test]
fn a_field_with_the_focus_draws_nothing_anew() {
    use egui_kittest::kittest::Queryable as _;
    let mut h = dressed(false, 1.0);
    // The harness stills the text cursor of its own accord; the dress must do so itself.
    theme::apply(&h.ctx, false, 1.0);
    // The window itself has the keyboard.
    h.input_mut().focused = true;
    h.get_by_role_and_label(egui::accesskit::Role::TextInput, "Room").click();
    h.run_steps(10);
    assert!(h.get_by_role_and_label(egui::accesskit::Role::TextInput, "Room").is_focused());
    let next = h.output().viewport_output.values().map(|v| v.repaint_delay).min().unwrap();
    assert_eq!(next, std::time::Duration::MAX, "a repaint is asked for while nobody does anything");
}
