//! How the hours of each step scatter: its shape, and what it shares with the others.

use super::quantile::Shape;
use crate::job::{Job, Switch};
use crate::work::{Kind, WorkGraph};

/// Shapes and weights of all steps of a graph.
#[derive(Clone, Debug)]
pub struct Hours {
    /// Labor (or elapsed) shape, `None` where nothing is drawn.
    pub shapes: Vec<Option<Shape>>,
    /// Weights of pace, trade, house and own chance per step.
    pub weights: Vec<[f64; 4]>,
    /// Index into `trades`; `usize::MAX` = none.
    pub trade: Vec<usize>,
    pub trades: Vec<String>,
}

impl Hours {
    /// Reads the job once.
    pub fn of(job: &Job, graph: &WorkGraph) -> Hours {
        let r = &job.risks;
        let (widening, cap) = match &job.study {
            Some(s) => (s.widening, s.cap == Switch::On),
            None => (r.widening, true),
        };
        let mut out = Hours { shapes: Vec::new(), weights: Vec::new(), trade: Vec::new(), trades: Vec::new() };
        for s in &graph.steps {
            let t = if s.trade.is_empty() {
                usize::MAX
            } else {
                out.trades.iter().position(|x| *x == s.trade).unwrap_or_else(|| {
                    out.trades.push(s.trade.clone());
                    out.trades.len() - 1
                })
            };
            out.trade.push(t);
            let (p, tw, h) = match &job.study {
                Some(st) if st.pace == Switch::Off => (libm::sqrt(st.common.clamp(0.0, 1.0)), 0.0, 0.0),
                _ => (
                    r.pace_weight,
                    if t == usize::MAX { 0.0 } else { r.trade_weight },
                    if s.fit_up { r.house_weight } else { 0.0 },
                ),
            };
            out.weights.push([p, tw, h, libm::sqrt((1.0 - p * p - tw * tw - h * h).max(0.0))]);
            let w = if s.own_history { 1.0 } else { widening };
            out.shapes.push(match s.kind {
                Kind::Labor => Some(Shape::new(&s.labor, w, cap)),
                Kind::Elapsed(d) => Some(Shape::new(&d, w, cap)),
                _ => None,
            });
        }
        out
    }
}
