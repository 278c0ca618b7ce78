//! The records of price, quotes and materials, and what cannot be among their values.

use super::check::Findings;
use super::reader::{record, words};
use super::values::plain;
use crate::job::{
    Allowance, Job, Letterhead, MOST_LINES, PayWhen, Payment, PriceTerms, Quote, QuoteLine, QuotePayment, TaxOn,
};
use crate::trade::{Cut, Material, Pack, Sold, Supplier, Use};

words!(TaxOn, "what tax is taken of", { "price" => Price, "materials" => Materials });
words!(PayWhen, "a time of payment", {
    "agreement" => Agreement, "begin" => Begin, "trim_hung" => TrimHung, "last_coat" => LastCoat,
    "punch_list" => PunchList,
});
words!(Supplier, "a supplier", {
    "millwork" => Millwork, "sheets" => Sheets, "paint" => Paint, "sundries" => Sundries,
});
words!(Sold, "a way to sell", { "stick" => Stick, "sheet" => Sheet, "gallon" => Gallon, "each" => Each });
words!(Cut, "a way to cut", {
    "none" => None, "run" => Run, "joined" => Joined, "casing" => Casing, "jamb" => Jamb, "stool" => Stool,
    "apron" => Apron, "frame" => Frame, "back" => Back,
});

record!(PriceTerms, "the price's terms", PriceTerms::default(), {
    overhead [0 to 3],
    margin [0 to 0.9],
    tax [0 to 0.5],
    tax_on,
    contingency [0 to 0.99],
    overtime [0 to 3],
    round_up [1 to 1000],
    late_day [0 to 100000],
    payments,
    allowances,
    inclusions,
    exclusions,
});

record!(Letterhead, "the head of papers", Letterhead::default(), { from, to, number, valid_days [1 to 365] });

record!(Payment, "a payment", Payment { when: PayWhen::Agreement, share: 0.0 }, {
    when required,
    share required [0 to 1],
});

record!(Allowance, "an allowance", Allowance::default(), { what required, dollars required [0 to 1000000] });

record!(
    Quote,
    "a quote",
    Quote {
        made_on: Job::default().start,
        option: String::new(),
        lines: Vec::new(),
        cents: 0,
        payments: Vec::new(),
        promised: None,
        number: String::new(),
        valid_days: None,
        changes: None,
        hours: 0.0,
        hours_high: 0.0,
        likely: Job::default().start,
        safe: Job::default().start,
        confidence: 0.8,
        loss: 0.0,
        assumptions: Vec::new(),
        inclusions: Vec::new(),
        exclusions: Vec::new(),
        moves: Vec::new(),
    },
    {
        made_on required,
        option,
        lines,
        cents required [0 to 2000000000],
        payments,
        promised,
        number,
        valid_days [1 to 365],
        changes [0 to 10000],
        hours required [0 to 1000000],
        hours_high required [0 to 1000000],
        likely required,
        safe required,
        confidence required [0.5 to 0.99],
        loss required [0 to 1],
        assumptions,
        inclusions,
        exclusions,
        moves,
    }
);

record!(QuoteLine, "a line of a quote", QuoteLine::default(), {
    what required,
    cents required [-2000000000 to 2000000000],
});

record!(QuotePayment, "a payment of a quote", QuotePayment::default(), {
    when required,
    cents required [-2000000000 to 2000000000],
});

record!(Material, "a material", Material::default(), {
    id required,
    name required,
    supplier,
    sold required,
    packs required,
    covers [0 to 100000],
    unit,
    waste [0 to 2],
    sprayed [0 to 3],
    cut,
    short [0 to 24],
    exact [0 to 2],
    off_wall [0 to 24],
    wide [0 to 24],
    scarf [0 to 24],
    spare [0 to 100],
    products,
    uses,
    at_hand,
    lead_days [0 to 365],
    tag,
    source,
});

record!(Pack, "a package", Pack::default(), {
    size required [0.01 to 10000],
    wide [0 to 20],
    price required [0.01 to 100000],
});

record!(Use, "a use", Use::default(), { rate required, of, row, per [0 to 100000], by, share, dusty });

/// What cannot be together, beyond the range of a field.
pub(super) fn check(job: &Job, found: &mut Findings) {
    for (name, lines) in [("from", &job.letterhead.from), ("to", &job.letterhead.to)] {
        if lines.len() > MOST_LINES {
            let what = format!("{} lines, at most {MOST_LINES} stand at the head of a paper", lines.len());
            found.add(format!("letterhead.{name}"), what, "join lines with a comma");
        }
    }
    let all: f64 = job.price.payments.iter().map(|p| p.share).sum();
    if !job.price.payments.is_empty() && (all - 1.0).abs() > 1e-6 {
        let what = format!("the payments sum to {} of the price", plain((all * 1e4).round() / 1e4));
        found.add("price.payments", what, "write shares that sum to 1, such as 0.25, 0.65 and 0.1");
    }
    for (i, two) in job.price.payments.windows(2).enumerate() {
        if two[1].when <= two[0].when {
            let what = "a payment stands before one that falls due sooner, or at the same time";
            let remedy = "write each once, in the order agreement, begin, trim_hung, last_coat, punch_list";
            found.add(format!("price.payments[{}].when", i + 1), what, remedy);
        }
    }
    for (i, q) in job.quotes.iter().enumerate() {
        let sum: i64 = q.lines.iter().map(|l| l.cents).fold(0, i64::saturating_add);
        if !q.lines.is_empty() && sum != q.cents {
            let what = format!("the lines of this quote sum to {sum} cents and its price is {}", q.cents);
            found.add(format!("quotes[{i}].cents"), what, "leave quotes as the program wrote them");
        }
        let paid: i64 = q.payments.iter().map(|p| p.cents).fold(0, i64::saturating_add);
        if !q.payments.is_empty() && paid != q.cents {
            let what = format!("the payments of this quote sum to {paid} cents and its price is {}", q.cents);
            found.add(format!("quotes[{i}].payments"), what, "leave quotes as the program wrote them");
        }
        if i > 0 && q.made_on < job.quotes[i - 1].made_on {
            let what = format!("the quote of {} stands after one of {}", q.made_on, job.quotes[i - 1].made_on);
            found.add(format!("quotes[{i}].made_on"), what, "write quotes in the order they were given");
        }
    }
    for (i, m) in job.materials.iter().enumerate() {
        let path = format!("materials[{i}]");
        if m.packs.is_empty() {
            let what = format!("the material \"{}\" is sold in no package", m.id);
            found.add(format!("{path}.packs"), what, "add packs: [(size: 1, price: 12.50)]");
        }
        let counted = matches!(m.sold, Sold::Gallon | Sold::Each);
        if counted && m.covers <= 0.0 {
            let what = format!("one package unit of \"{}\" covers nothing", m.id);
            found.add(path, what, "add covers: how far a gallon or a piece goes, such as 350");
        } else if counted != (m.cut == Cut::None) || (m.sold == Sold::Sheet) != (m.cut == Cut::Back) {
            let what = format!("the material \"{}\" is sold one way and cut another", m.id);
            found.add(
                format!("{path}.cut"),
                what,
                "sticks and sheets name what is cut from them; the rest is cut: none",
            );
        } else if m.sold == Sold::Sheet && m.packs.iter().any(|p| p.wide <= 0.0) {
            let what = format!("a sheet of \"{}\" has no shorter side", m.id);
            found.add(format!("{path}.packs"), what, "add wide: in feet, such as 4");
        } else if m.packs.iter().any(|p| p.size <= m.short.feet()) {
            let what = format!("a length of \"{}\" is no longer than it may arrive short", m.id);
            found.add(format!("{path}.short"), what, "make short smaller than every length sold");
        }
    }
}
