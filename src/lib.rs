//! Roomback: the date a finish carpenter and painter can promise for a room.
//!
//! Data flows one way, and each module uses only modules above it in this list.

/// Lengths, areas, counts: newtypes that read and write themselves.
pub mod measure;
/// Elapsed time to progress and back: a crew's hours, a coat's drying, business days.
pub mod clock;
/// Recipes, labor rates, products and their stages, causes of lateness, cautions.
pub mod trade;
/// The job as plain data.
pub mod job;
/// Text to job and back; every problem with its place.
pub mod jobfile;
/// Rooms to quantities, each with its formula as data.
pub mod takeoff;
/// Quantities times recipes: the work graph; CPM.
pub mod work;
/// Graph, clocks, crew and places to a plan.
pub mod schedule;
/// Sampled trials of the same dispatch: odds, causes, precision.
pub mod forecast;
/// Bytes on disk, kept safe; today's date.
pub mod store;
