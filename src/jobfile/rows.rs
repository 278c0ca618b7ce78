//! The records of the trade: rates, products, recipes, causes of lateness.

use super::reader::{record, words};
use crate::clock::Law;
use crate::trade::{
    After, Pieces, Product, Racks, Rate, Recipe, RecipeChoice, RedoRow, Risks, Row, RowNeed, RowPlace, Say, Stages,
    SurpriseRow, Tag, Term, Unit,
};

words!(Tag, "a tag", {
    "judgement" => Judgement, "own" => Own, "read" => Read, "secondary" => Secondary, "computed" => Computed,
    "memory" => Memory,
});
words!(Unit, "a unit", {
    "day" => Day, "delivery" => Delivery, "room" => Room, "sf" => SquareFoot, "lf" => LinearFoot, "each" => Each,
    "opening" => Opening, "window" => Window, "box" => Box, "spray_day" => SprayDay,
});
words!(Law, "a law of drying", {
    "evaporating" => Evaporating, "film_forming" => FilmForming, "setting" => Setting,
    "moisture_curing" => MoistureCuring,
});
words!(RowPlace, "a place of a recipe", { "room" => Room, "shop" => Shop, "booth" => Booth });
words!(Pieces, "a way to split a step", {
    "one" => One, "wall_planes" => WallPlanes, "panels" => Panels, "elevations" => Elevations,
    "openings" => Openings,
});
words!(Racks, "a use of racks", { "none" => None, "panels" => Panels, "sticks" => Sticks });

record!(
    Rate,
    "a rate",
    Rate {
        id: String::new(),
        name: String::new(),
        unit: Unit::Each,
        low: 0.0,
        typ: 0.0,
        high: 0.0,
        jobs: 0,
        tag: Tag::Judgement,
        source: String::new(),
    },
    {
        id required,
        name required,
        unit required,
        low required [0 to 1000],
        typ required [0 to 1000],
        high required [0 to 1000],
        jobs [0 to 100000],
        tag,
        source,
    }
);

record!(Stages, "the hours to each stage", Stages::default(), {
    dust_free [0 to 10000],
    sand [0 to 10000],
    recoat [0 to 10000],
    tape [0 to 10000],
    handle [0 to 10000],
    shut [0 to 10000],
    full [0 to 10000],
});

record!(
    Product,
    "a product",
    Product {
        id: String::new(),
        name: String::new(),
        law: Law::Evaporating,
        ref_temp_f: 77.0,
        ref_rh: 0.5,
        hours: Stages::default(),
        then_dries: false,
        least_temp_f: None,
        most_rh: None,
        above_dew_f: None,
        wet_to_dust: false,
        damps_room: false,
        tag: Tag::Judgement,
        source: String::new(),
    },
    {
        id required,
        name required,
        law required,
        ref_temp_f [32 to 120],
        ref_rh [0.05 to 0.95],
        hours required,
        then_dries,
        least_temp_f [-40 to 150],
        most_rh [0 to 1],
        above_dew_f [0 to 50],
        wet_to_dust,
        damps_room,
        tag,
        source,
    }
);

record!(Recipe, "a recipe", Recipe::default(), { id required, name, parts, choices, includes, steps, note, client });

record!(Say, "words for the client", Say::default(), { say required, row, part });

record!(RecipeChoice, "a choice", RecipeChoice::default(), { id required, name, options required, only_with });

record!(Row, "a step of a recipe", Row::default(), {
    id required,
    name,
    labor,
    setup_min [0 to 480],
    place,
    flags,
    leaves,
    pieces,
    hands [0 to 20],
    rest_h [0 to 10000],
    rh_below [0 to 1],
    business_days [0 to 1000],
    racks,
    needs,
    first,
    after,
    gives,
    when,
    appointment,
    trade,
    fit_up,
    redo,
    redo_per,
    disturbs,
    built_before [1600 to 2200],
    tag,
    note,
});

record!(Term, "a term of labor", Term::default(), { of required, rate required, times [0 to 1000], own_ladder });

record!(RowNeed, "a need of a recipe", RowNeed::default(), {
    row required,
    link,
    dry,
    lag [0 to 10000],
    longest [0 to 100000],
    when,
});

record!(After, "a milestone waited for", After::default(), { milestone required, dry, when });

record!(RedoRow, "a cause of redoing", RedoRow::default(), {
    id required,
    name,
    chance [0 to 1],
    share [0 to 1],
});

record!(SurpriseRow, "a surprise", SurpriseRow::default(), {
    id required,
    name,
    chance [0 to 1],
    hours [0 to 1000],
    only_with,
    before,
});

record!(Risks, "the causes of lateness", Risks::default(), {
    hours,
    widening [0 to 10],
    pace_weight [0 to 1],
    trade_weight [0 to 1],
    house_weight [0 to 1],
    drying,
    season_sd [0 to 2],
    day_sd [0 to 2],
    product_sd [0 to 2],
    lost_days,
    lost_rate [0 to 0.5],
    lost_spell [1 to 100],
    holes,
    hole_chance [0 to 1],
    unavailable,
    unavailable_chance [0 to 0.9],
    job_before,
    overrun [0 to 365],
    redo,
    redos,
    surprises,
    surprise_rows,
    late,
    unlisted,
    unlisted_share [0 to 1],
});
