//! What a way costs: a line for each thing paid, in whole cents.

/// One thing paid or saved.
#[derive(Clone, Debug, PartialEq)]
pub struct CostLine {
    /// The row of the table it goes by, or `labor` and `trips`.
    pub row: String,
    /// Who or what it is paid for: a person's name, a place, a delivery.
    pub of: String,
    /// Hours, days, steps; less than nothing where it is saved.
    pub quantity: f64,
    /// Dollars for one.
    pub dollars: f64,
    pub cents: i64,
    /// The hourly cost is not the job's own: what was assumed is the table's.
    pub assumed: bool,
}

impl CostLine {
    /// A line of so many at so many dollars.
    pub fn new(row: &str, of: impl Into<String>, quantity: f64, dollars: f64) -> CostLine {
        let cents = cents(quantity * dollars);
        CostLine { row: row.into(), of: of.into(), quantity, dollars, cents, assumed: false }
    }

    /// The same, with an hourly cost that was assumed.
    pub fn assumed(self, assumed: bool) -> CostLine {
        CostLine { assumed, ..self }
    }
}

/// Dollars to whole cents, half a cent away from nothing.
pub fn cents(dollars: f64) -> i64 {
    libm::round(dollars * 100.0) as i64
}

/// Cents of all lines.
pub fn total(lines: &[CostLine]) -> i64 {
    lines.iter().map(|l| l.cents).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_add_up_in_whole_cents() {
        // 7 h 20 min at 28 dollars: 205.33 dollars.
        let a = CostLine::new("helper-hour", "Helper", 22.0 / 3.0, 28.0);
        let b = CostLine::new("trips", "Mara", -0.5, 48.0);
        assert_eq!((a.cents, b.cents, total(&[a, b])), (20_533, -2_400, 18_133));
        assert_eq!((cents(0.005), cents(-0.005)), (1, -1));
    }
}
