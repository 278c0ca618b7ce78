//! The records of the job itself, its people, calendar and places.

use super::reader::{record, words};
use crate::job::{
    AirFrom, Calendar, ChangeKind, ChangeOrder, ClientSwitches, Closing, DateHours, Day, DayLog, Decision, Delivery,
    Evening, Hold, Hours, House, How, Job, JobOption, KeptOrder, LostCause, LostTime, MovedBy, Person, Place,
    PlaceKind, Promise, Redone, Study, Target, TargetKind, Units, Visit, Week, Worked,
};
use crate::trade::Switch;

record!(Job, "the job", Job::default(), {
    format required [1 to 1],
    name,
    client,
    units,
    start kept,
    target,
    confidence [0.5 to 0.99],
    seed,
    house,
    crew,
    calendar,
    places,
    rooms,
    steps,
    deliveries,
    decisions,
    visits,
    holds,
    risks,
    study,
    kept,
    lost,
    log,
    record,
    redone,
    changes,
    closed,
    option,
    options,
    promises,
    client_page,
    letterhead,
    price,
    quotes,
    rates,
    products,
    recipes,
    extras,
    taken,
    materials,
}, { as_of: None });

words!(Units, "a way to write lengths", { "feet_inches" => FeetInches, "metric" => Metric });
words!(TargetKind, "a kind of target", { "asked" => Asked, "promised" => Promised });
words!(Day, "a weekday", {
    "mon" => Mon, "tue" => Tue, "wed" => Wed, "thu" => Thu, "fri" => Fri, "sat" => Sat, "sun" => Sun,
});
words!(PlaceKind, "a kind of place", { "room" => Room, "shop" => Shop, "booth" => Booth });
words!(Switch, "a switch", { "on" => On, "off" => Off });

record!(Target, "a target", Target { kind: TargetKind::Asked, day: Job::default().start }, { kind, day required });

record!(House, "the house", House::default(), {
    year_built [1600 to 2200],
    lead_practices,
    occupied,
    small_children,
    out_of_square [1.0 to 1.4],
    ladder [1.0 to 1.6],
    longest_stock_ft [1 to 100],
    asked,
});

record!(Hours, "a stretch of hours", Hours { from: crate::job::Hm(480), to: crate::job::Hm(990) }, {
    from required,
    to required,
});

record!(Week, "a week", Week::default(), {
    days,
    open,
    close,
    opening [0 to 240],
    closing [0 to 240],
    lunch,
});

record!(Calendar, "the calendar", Calendar::default(), { week, holidays, house_closed, noise });

record!(Person, "a person", Person::default(), {
    id,
    name,
    cost [0 to 1000],
    pace [0.05 to 5],
    helper,
    skills,
    week,
    days_off,
    dates,
    stays_from,
});

record!(DateHours, "the hours of a date", DateHours { day: Job::default().start, hours: Vec::new() }, {
    day required,
    hours required,
});

record!(Place, "a place", Place::default(), {
    id,
    name,
    kind,
    work_air,
    off_air,
    air_days,
    air_hours,
    fan,
    later_air,
    open_to,
    racks [0 to 10000],
    away_min [0 to 600],
    beside,
    dust_control,
});

record!(
    AirFrom,
    "the air from a day on",
    AirFrom { day: Job::default().start, work_air: Place::default().work_air, off_air: Place::default().off_air, fan: false },
    { day required, work_air required, off_air required, fan }
);

record!(Delivery, "a delivery", Delivery::default(), {
    id,
    name,
    lead_days [0 to 1000],
    late,
    ordered,
    needs,
    before,
});

record!(
    Decision,
    "a decision",
    Decision { id: String::new(), name: String::new(), by: Job::default().start, late: None, before: Vec::new() },
    { id, name, by required, late, before }
);

record!(Visit, "a visit", Visit::default(), {
    id,
    name,
    place,
    hours [0 to 10000],
    business_days [0 to 1000],
    windows,
    late,
    needs,
    before,
});

record!(
    Hold,
    "a hold",
    Hold { step: String::new(), until: crate::job::Until::Done(String::new()), wait: None },
    { step required, until required, wait [0 to 1000000] }
);

record!(KeptOrder, "the kept order", KeptOrder::default(), { order, methods, people, holds });

record!(JobOption, "an option", JobOption::default(), {
    name required,
    house,
    crew,
    calendar,
    places,
    rooms,
    steps,
    deliveries,
    decisions,
    visits,
    holds,
    risks,
    rates,
    products,
    recipes,
    kept,
});

record!(
    Promise,
    "a promise",
    Promise {
        day: Job::default().start,
        made_on: Job::default().start,
        confidence: 0.8,
        chance: 0.0,
        reason: String::new(),
        kept: None,
        trials: 10_000,
        asked: None,
        withdrawn: false,
    },
    {
        day required,
        made_on required,
        confidence required [0.5 to 0.99],
        chance required [0 to 1],
        reason,
        kept,
        trials [1 to 1000000],
        asked,
        withdrawn,
    }
);

record!(ClientSwitches, "the switches of the client's page", ClientSwitches::default(), {
    odds,
    hours,
    drying,
    lost_days,
    holes,
    unavailable,
    job_before,
    redo,
    surprises,
    late,
    unlisted,
});

record!(Study, "a study", Study::default(), {
    unit_minutes [1 to 1000000],
    pace,
    widening [0 to 10],
    cap,
    common [0 to 1],
});

words!(How, "a way a day went", {
    "as_planned" => AsPlanned, "nothing" => Nothing, "differently" => Differently,
});
words!(LostCause, "a cause of lost time", {
    "illness" => Illness, "child_ill" => ChildIll, "family" => Family, "other_job" => OtherJob, "weather" => Weather,
    "vehicle" => Vehicle, "client" => Client, "other" => Other,
});

record!(
    DayLog,
    "a day of the log",
    DayLog { day: Job::default().start, how: How::Differently, steps: Vec::new(), note: String::new() },
    { day required, how, steps, note }
);

record!(Worked, "an entry of a day", Worked::default(), {
    step required,
    who,
    from,
    hours [0 to 24],
    share [0 to 1],
    done,
    at,
    coming,
    note,
});

record!(
    Evening,
    "an evening of the record",
    Evening {
        day: Job::default().start,
        clean_run: Job::default().start.and_time(chrono::NaiveTime::MIN),
        likely: Job::default().start,
        safe: Job::default().start,
        eighty: Job::default().start.and_time(chrono::NaiveTime::MIN),
        chance: None,
        confidence: 0.8,
        lost: 0,
        ways: None,
        changes: None,
        reasons: Vec::new(),
        together: 0.0,
        trials: 10_000,
    },
    {
        day required,
        clean_run required,
        likely required,
        safe required,
        eighty required,
        chance [0 to 1],
        confidence required [0.5 to 0.99],
        lost,
        ways,
        changes,
        reasons,
        together [-10000 to 10000],
        trials [1 to 1000000],
    }
);

record!(MovedBy, "a reason of a move", MovedBy::default(), { what required, days required [-10000 to 10000] });

record!(
    LostTime,
    "lost time",
    LostTime {
        from: Job::default().start,
        to: None,
        hours: None,
        who: String::new(),
        house: false,
        cause: LostCause::Other,
        note: String::new(),
    },
    { from required, to, hours, who, house, cause, note }
);

words!(ChangeKind, "a kind of change", { "scope" => Scope, "redo" => Redo });

record!(
    Redone,
    "work to be done again",
    Redone { step: String::new(), day: Job::default().start, share: None, hours: None, cause: String::new() },
    { step required, day required, share [0.01 to 10], hours [0.05 to 1000], cause }
);

record!(
    ChangeOrder,
    "a change",
    ChangeOrder {
        day: Job::default().start,
        kind: ChangeKind::Scope,
        words: String::new(),
        adds: Vec::new(),
        drops: Vec::new(),
        hours: 0.0,
        dollars: None,
        days: 0.0,
        likely_before: Job::default().start,
        likely_after: Job::default().start,
        safe_before: Job::default().start,
        safe_after: Job::default().start,
        chance_before: None,
        chance_after: None,
        promised_before: None,
        promised_after: None,
        trials: 0,
        confidence: None,
        cents_before: None,
        cents_after: None,
        cents: None,
        material: None,
    },
    {
        day required,
        kind,
        words,
        adds,
        drops,
        hours [-100000 to 100000],
        dollars [-10000000 to 10000000],
        days [-10000 to 10000],
        likely_before required,
        likely_after required,
        safe_before required,
        safe_after required,
        chance_before [0 to 1],
        chance_after [0 to 1],
        promised_before,
        promised_after,
        trials [0 to 1000000],
        confidence [0.5 to 0.99],
        cents_before [0 to 2000000000],
        cents_after [-2000000000 to 2000000000],
        cents [-2000000000 to 2000000000],
        material [-2000000000 to 2000000000],
    }
);

record!(
    Closing,
    "the end of the job",
    Closing {
        day: Job::default().start,
        finish: Job::default().start.and_time(chrono::NaiveTime::MIN),
        promised: None,
        likely: Job::default().start,
        hours: 0.0,
        estimate: 0.0,
    },
    {
        day required,
        finish required,
        promised,
        likely required,
        hours [0 to 100000],
        estimate [0 to 100000],
    }
);
