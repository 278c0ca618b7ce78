//! Roomback: the date a finish carpenter and painter can promise for a room.
//!
//! Data flows one way, and each module uses only modules above it in this list. A job file
//! is read ([`jobfile`]) into plain data ([`job`]), its rooms are taken off ([`takeoff`]) and
//! multiplied with recipes into a graph of steps ([`work`]); an order of those steps is
//! dispatched on the crew's and the coats' clocks into a plan ([`schedule`]), the same
//! dispatch runs thousands of drawn trials ([`forecast`]), and orders are tried for a
//! shorter finish ([`search`]). [`desk`] is the whole chain for one job; [`views`] turns its
//! answers into figures and text, [`cli`] and `ui` show them.

// Lengths, areas, counts: newtypes that read and write themselves.
pub mod measure;
// Elapsed time to progress and back: a crew's hours, a coat's drying, business days.
pub mod clock;
// Recipes, labor rates, products and their stages, causes of lateness, cautions.
pub mod trade;
// The job as plain data.
pub mod job;
// Text to job and back; every problem with its place.
pub mod jobfile;
// Rooms to quantities, each with its formula as data.
pub mod takeoff;
// A room said in a line, read, asked about and written back.
pub mod sheet;
// A tradesman's own rates: what closed jobs have taught.
pub mod book;
// Quantities times recipes: the work graph; CPM.
pub mod work;
// Where each step and coat stands at an instant.
pub mod standing;
// Graph, standing, clocks, crew and places to a plan.
pub mod schedule;
// Sampled trials of the same dispatch: odds, causes, precision.
pub mod forecast;
// Orders tried by dispatch: a short honest order, and how much shorter any could be.
pub mod search;
// What happened, written up and kept.
pub mod record;
// Which sticks, sheets and cans, how cut, ordered by when.
pub mod buying;
// Hours and materials to a price, and its odds.
pub mod pricing;
// Ways back to a date compared: what each wins, what it costs, which are worth a closer look.
pub mod waysback;
// The whole chain for one job.
pub mod desk;
// Figures, rows and texts for screens and papers.
pub mod views;
// Pages, days and tables as files for others: SVG, iCalendar, CSV.
pub mod export;
// Bytes on disk, kept safe; today's date.
pub mod store;
// Text commands.
pub mod cli;
// The window.
#[cfg(feature = "desktop")]
pub mod ui;
