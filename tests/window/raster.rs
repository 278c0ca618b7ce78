//! Pictures of the window without a display or a graphics card: egui's triangles filled on the
//! processor, the same on every machine.
//!
//! Corners are snapped to 1/256 of a pixel and edges counted in whole numbers; a pixel belongs
//! to a triangle when its centre lies inside, and on an edge by the top-left rule, so that
//! neighbours share no pixel and leave no gap. Textures are read between their four nearest
//! points, colours are premultiplied sRGB and blended as they are, as egui's own painters do.

use std::collections::BTreeMap;

use egui::epaint::{ClippedPrimitive, ImageData, Mesh, Primitive, TextureId, Vertex, WHITE_UV};
use egui::{ColorImage, Context, FullOutput, Rect, TexturesDelta};
use egui_kittest::TestRenderer;
use image::{Rgba, RgbaImage};

/// A painter of pictures for the tests.
#[derive(Default)]
pub struct Raster {
    textures: BTreeMap<TextureId, ColorImage>,
}

impl TestRenderer for Raster {
    fn handle_delta(&mut self, delta: &mut TexturesDelta) {
        for (id, images) in delta.set.drain() {
            for change in images {
                let ImageData::Color(patch) = &change.image;
                let Some([left, top]) = change.pos else {
                    self.textures.insert(id, patch.as_ref().clone());
                    continue;
                };
                let Some(whole) = self.textures.get_mut(&id) else { continue };
                for y in 0..patch.height() {
                    let to = (top + y) * whole.width() + left;
                    let from = y * patch.width();
                    whole.pixels[to..to + patch.width()].copy_from_slice(&patch.pixels[from..from + patch.width()]);
                }
            }
        }
        for id in delta.free.drain() {
            self.textures.remove(&id);
        }
    }

    fn render(&mut self, ctx: &Context, output: &FullOutput) -> Result<RgbaImage, String> {
        let scale = ctx.pixels_per_point();
        let size = ctx.content_rect().size() * scale;
        let mut picture = RgbaImage::new(size.x.round() as u32, size.y.round() as u32);
        for ClippedPrimitive { clip_rect, primitive } in ctx.tessellate(output.shapes.clone(), scale) {
            let Primitive::Mesh(mesh) = primitive else { return Err("a callback cannot be drawn here".to_string()) };
            let texture = self.textures.get(&mesh.texture_id).ok_or("a mesh names a texture there is not")?;
            fill(&mut picture, &mesh, texture, clip_rect, scale);
        }
        Ok(picture)
    }
}

/// Parts of a pixel that corners are snapped to.
const PART: f32 = 256.0;

fn fill(picture: &mut RgbaImage, mesh: &Mesh, texture: &ColorImage, clip: Rect, scale: f32) {
    // Pixels inside the clip: first, and one past the last.
    let pixel = |v: f32, most: u32| (v * scale).round().clamp(0.0, most as f32) as i64;
    let from = (pixel(clip.min.x, picture.width()), pixel(clip.min.y, picture.height()));
    let to = (pixel(clip.max.x, picture.width()), pixel(clip.max.y, picture.height()));
    for corner in mesh.indices.chunks_exact(3) {
        let mut v = [0, 1, 2].map(|i| mesh.vertices[corner[i] as usize]);
        let snap = |v: Vertex| ((v.pos.x * scale * PART).round() as i64, (v.pos.y * scale * PART).round() as i64);
        let mut p = v.map(snap);
        let mut area = cross(p[0], p[1], p[2]);
        if area == 0 {
            continue;
        }
        // Either winding comes; all are turned one way.
        if area < 0 {
            v.swap(1, 2);
            p.swap(1, 2);
            area = -area;
        }
        let bounds = |of: fn((i64, i64)) -> i64| {
            let (low, high) = (p.map(of).into_iter().min().unwrap(), p.map(of).into_iter().max().unwrap());
            (low.div_euclid(PART as i64), high.div_euclid(PART as i64) + 1)
        };
        let (left, right) = bounds(|p| p.0);
        let (top, bottom) = bounds(|p| p.1);
        let plain = v.iter().all(|v| v.uv == WHITE_UV);
        for y in top.max(from.1)..bottom.min(to.1) {
            for x in left.max(from.0)..right.min(to.0) {
                let centre = (x * PART as i64 + PART as i64 / 2, y * PART as i64 + PART as i64 / 2);
                let share = [(1, 2), (2, 0), (0, 1)].map(|(a, b)| (cross(p[a], p[b], centre), owns(p[a], p[b])));
                if share.iter().any(|(s, owned)| *s < 0 || (*s == 0 && !owned)) {
                    continue;
                }
                let share = share.map(|(s, _)| s as f32 / area as f32);
                let mix = |of: &dyn Fn(&Vertex) -> f32| (0..3).map(|i| share[i] * of(&v[i])).sum::<f32>();
                let mut colour = [0, 1, 2, 3].map(|c| mix(&|v: &Vertex| f32::from(v.color[c])));
                if !plain {
                    let read = sample(texture, mix(&|v| v.uv.x), mix(&|v| v.uv.y));
                    for c in 0..4 {
                        colour[c] *= read[c] / 255.0;
                    }
                }
                blend(picture.get_pixel_mut(x as u32, y as u32), colour);
            }
        }
    }
}

/// Twice the area of a triangle, positive when it turns right on a screen whose y grows downwards.
fn cross(a: (i64, i64), b: (i64, i64), c: (i64, i64)) -> i64 {
    (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0)
}

/// Whether a pixel centre right on this edge belongs to the triangle: a top or a left edge.
fn owns(a: (i64, i64), b: (i64, i64)) -> bool {
    b.1 < a.1 || (b.1 == a.1 && b.0 > a.0)
}

/// The texture at a place given in shares of its size, between the four nearest points.
fn sample(texture: &ColorImage, u: f32, v: f32) -> [f32; 4] {
    let [wide, high] = texture.size;
    let (x, y) = (u * wide as f32 - 0.5, v * high as f32 - 0.5);
    let (left, top) = (x.floor(), y.floor());
    let at = |dx: f32, dy: f32| {
        let column = (left + dx).clamp(0.0, (wide - 1) as f32) as usize;
        let row = (top + dy).clamp(0.0, (high - 1) as f32) as usize;
        texture.pixels[row * wide + column].to_array().map(f32::from)
    };
    let (right, low) = (x - left, y - top);
    let corners = [at(0.0, 0.0), at(1.0, 0.0), at(0.0, 1.0), at(1.0, 1.0)];
    [0, 1, 2, 3].map(|c| {
        let upper = corners[0][c] * (1.0 - right) + corners[1][c] * right;
        let lower = corners[2][c] * (1.0 - right) + corners[3][c] * right;
        upper * (1.0 - low) + lower * low
    })
}

fn blend(pixel: &mut Rgba<u8>, colour: [f32; 4]) {
    let through = 1.0 - colour[3] / 255.0;
    for c in 0..4 {
        pixel[c] = (colour[c] + f32::from(pixel[c]) * through).round().clamp(0.0, 255.0) as u8;
    }
}

#[cfg(test)]
mod tests {
    use egui::{Color32, TextureOptions, pos2};
    use egui_kittest::Harness;

    use super::*;

    fn drawn(draw: impl FnMut(&mut egui::Ui) + 'static) -> RgbaImage {
        Harness::builder().with_size([24.0, 16.0]).renderer(Raster::default()).build_ui(draw).render().unwrap()
    }

    /// Two triangles over a square, in one colour that lets half of the ground through.
    fn square(from: f32, to: f32, split: bool) -> Mesh {
        let half = Color32::from_rgba_premultiplied(100, 0, 0, 128);
        let mut mesh = Mesh::default();
        for (x, y) in [(from, from), (to, from), (to, to), (from, to)] {
            mesh.colored_vertex(pos2(x, y), half);
        }
        // The second winding is the wrong way round on purpose.
        let (a, b) = if split { ([0, 1, 2], [0, 3, 2]) } else { ([0, 1, 3], [1, 3, 2]) };
        mesh.indices.extend(a.into_iter().chain(b));
        mesh
    }

    fn white(mesh: &Mesh, clip: Rect) -> RgbaImage {
        let mut picture = RgbaImage::from_pixel(16, 16, Rgba([255; 4]));
        let texture = ColorImage::filled([1, 1], Color32::WHITE);
        fill(&mut picture, mesh, &texture, clip, 1.0);
        picture
    }

    #[test]
    fn a_seam_is_filled_once() {
        // 100 + 255 * (1 - 128 / 255) = 227; 127; 127. Twice would be 213 and 63.
        for split in [true, false] {
            let picture = white(&square(2.0, 10.0, split), Rect::EVERYTHING);
            for (x, y, pixel) in picture.enumerate_pixels() {
                let inside = (2..10).contains(&x) && (2..10).contains(&y);
                let want = if inside { [227, 127, 127, 255] } else { [255; 4] };
                assert_eq!(pixel.0, want, "{x} {y} {split}");
            }
        }
    }

    #[test]
    fn an_edge_through_pixel_centres_goes_to_one_side() {
        // Centres on the left and top edge are in, on the right and bottom out.
        let picture = white(&square(2.5, 10.5, true), Rect::EVERYTHING);
        assert_eq!(picture.get_pixel(2, 2).0, [227, 127, 127, 255]);
        assert_eq!(picture.get_pixel(9, 9).0, [227, 127, 127, 255]);
        assert_eq!(picture.get_pixel(10, 5).0, [255; 4]);
        assert_eq!(picture.get_pixel(5, 10).0, [255; 4]);
    }

    #[test]
    fn nothing_is_drawn_outside_the_clip() {
        let picture = white(&square(-40.0, 400.0, true), Rect::from_min_max(pos2(3.0, 4.0), pos2(5.0, 7.0)));
        let drawn: Vec<(u32, u32)> =
            picture.enumerate_pixels().filter(|p| p.2.0 != [255; 4]).map(|p| (p.0, p.1)).collect();
        assert_eq!(drawn, [(3, 4), (4, 4), (3, 5), (4, 5), (3, 6), (4, 6)]);
    }

    #[test]
    fn a_texture_is_read_between_its_points() {
        let texture = ColorImage::new([2, 1], vec![Color32::BLACK, Color32::WHITE]);
        assert_eq!(sample(&texture, 0.25, 0.5), [0.0, 0.0, 0.0, 255.0]);
        assert_eq!(sample(&texture, 0.5, 0.5), [127.5, 127.5, 127.5, 255.0]);
        assert_eq!(sample(&texture, 0.75, 0.5), [255.0; 4]);
        assert_eq!(sample(&texture, 9.0, -9.0), [255.0; 4]);
    }

    #[test]
    fn egui_s_own_shapes_land_where_they_were_put() {
        let picture = drawn(|ui| {
            let rect = Rect::from_min_max(pos2(4.0, 3.0), pos2(12.0, 9.0));
            ui.painter().rect_filled(rect, 0.0, Color32::from_rgb(10, 200, 30));
        });
        assert_eq!(picture.dimensions(), (24, 16));
        assert_eq!(picture.get_pixel(7, 6).0, [10, 200, 30, 255]);
        assert_eq!(picture.get_pixel(15, 12).0, picture.get_pixel(20, 1).0);
    }

    #[test]
    fn a_picture_of_ours_is_kept_and_changed() {
        let mut handle = None;
        let mut first = true;
        let picture = drawn(move |ui| {
            let red = ColorImage::filled([8, 8], Color32::RED);
            let texture = handle.get_or_insert_with(|| ui.ctx().load_texture("patch", red, TextureOptions::NEAREST));
            if !std::mem::take(&mut first) {
                texture.set_partial([0, 0], ColorImage::filled([4, 8], Color32::BLUE), TextureOptions::NEAREST);
            }
            let rect = Rect::from_min_max(pos2(0.0, 0.0), pos2(8.0, 8.0));
            let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
            ui.painter().image(texture.id(), rect, whole, Color32::WHITE);
        });
        assert_eq!(picture.get_pixel(1, 4).0, [0, 0, 255, 255]);
        assert_eq!(picture.get_pixel(6, 4).0, [255, 0, 0, 255]);
    }
}
