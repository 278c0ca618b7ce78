//! What the hands are paid for in a plan, and what that costs.
//!
//! Minutes are those on the clock, not labor minutes: a helper at six tenths of the pace is paid
//! for all of them. Costs are kept in cents times minutes and rounded together, so that the lines
//! sum to the hands' cost to the cent.

use super::{Kind, Line};
use crate::job::Job;
use crate::measure::{LaborHours, Money, apportion};
use crate::schedule::{Gang, Net, Plan, RunLog, Typical};

/// Lines of the hands, in order.
const LINES: [Kind; 5] = [Kind::Labor, Kind::SetUp, Kind::Trips, Kind::Helper, Kind::Overtime];

/// Minutes paid, everything typical.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Paid {
    /// By person of the crew, all of it.
    pub minutes: Vec<i64>,
    /// Of the lines above, minutes of all; overtime's are part of the others.
    pub by_line: [i64; 5],
    /// Cents times minutes an hour of each line.
    worth: [i64; 5],
}

/// What an hour of somebody costs, cents.
pub fn rate(cost: f64) -> i64 {
    Money::from_dollars(cost).0
}

impl Paid {
    /// Cents of each line, summing to the rounded whole.
    fn cents(&self) -> Vec<i64> {
        apportion(&self.worth, 60).into_iter().map(|c| c / 60).collect()
    }

    /// All of it.
    pub fn cost(&self) -> Money {
        Money(self.cents().iter().sum())
    }

    /// As lines of a price.
    pub fn lines(&self) -> Vec<Line> {
        let one = |((kind, cents), minutes): ((Kind, i64), i64)| Line {
            kind,
            amount: Money(cents),
            hours: Some(LaborHours(minutes)),
            share: None,
        };
        LINES.into_iter().zip(self.cents()).zip(self.by_line).map(one).collect()
    }
}

/// What a plan pays for.
pub fn paid(job: &Job, net: &Net, plan: &Plan) -> Paid {
    let mut out = Paid { minutes: vec![0; job.crew.len()], ..Paid::default() };
    for run in &plan.runs {
        let step = &net.graph.steps[run.step];
        let people = run.people.iter().fold(0u32, |m, p| m | 1 << p);
        let log = RunLog {
            step: run.step,
            from: run.from.0,
            to: run.to.0,
            people,
            piece: run.piece,
            trip: run.trip_min,
            overtime: run.overtime_min,
            labor_milli: run.labor_milli,
            pickup: run.pickup_min,
            after: None,
            earlier: None,
        };
        let gang = Gang { people, beside: 0, beside_noisy: 0, place: step.place, noisy: step.flags.noisy };
        let minutes = gang.paid(net, &mut Typical(net), &log).max(0);
        let at_work = (minutes - run.trip_min).max(0);
        let typical = net.typical[run.step].max(1);
        // Set-up is part of a step's labor, and spread over its runs as its labor is.
        let set_up = at_work * step.setup_min.clamp(0, typical) / typical;
        for &p in &run.people {
            let Some(person) = job.crew.get(p) else { continue };
            let cents = rate(person.cost);
            out.minutes[p] += minutes;
            let mut add = |line: usize, m: i64| {
                out.by_line[line] += m;
                out.worth[line] += m * cents;
            };
            if person.helper {
                add(3, minutes);
            } else {
                add(0, at_work - set_up);
                add(1, set_up);
                add(2, minutes - at_work);
            }
            out.by_line[4] += run.overtime_min;
            out.worth[4] += libm::round((run.overtime_min * cents) as f64 * job.price.overtime) as i64;
        }
    }
    out
}
