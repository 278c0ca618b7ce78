//! Roomback: the date a finish carpenter and painter can promise for a room.
//!
//! Data flows one way; each module uses only modules above it in this list.

/// Elapsed time to progress and back: a crew's hours, a coat's drying, business days.
pub mod clock;
/// The job as plain data.
pub mod job;
/// Lengths, areas, counts: newtypes that read and write themselves.
pub mod measure;
/// Graph, clocks, crew and places to a plan.
pub mod schedule;
/// Orders tried for the shortest honest one: bounds, proof.
pub mod search;
/// Recipes, labor rates, products and their stages, causes of lateness, cautions.
pub mod trade;
/// Quantities times recipes: the work graph; CPM.
pub mod work;
