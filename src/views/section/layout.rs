//! Positions of everything the section shows.

/// What a layout is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ask {
    pub width: f32,
    pub height: f32,
    pub text_scale: f32,
    /// Pixels a working day; `None` fits all of the job into the width.
    pub zoom: Option<f32>,
    pub scroll_x: f32,
    pub scroll_y: f32,
    /// Every minute as wide as every other.
    pub plain_time: bool,
    /// Step selected, index in the graph.
    pub selected: Option<usize>,
    /// The chalk line through all of what holds the date, not only the selected stretch.
    pub whole_chalk: bool,
    /// Which of the model's rooms is unfolded.
    pub unfolded: usize,
    /// Whether the lanes of the people are shown.
    pub lanes: bool,
}
