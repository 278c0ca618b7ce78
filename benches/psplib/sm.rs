//! Reads the single-mode project files of the project scheduling problem library (`.sm`) and
//! the table of bounds beside them.
//!
//! R. Kolisch and A. Sprecher, *European Journal of Operational Research* 96 (1997) 205-216.
//! Nothing of the library is part of this project; the folder is named on the command line.

use std::path::Path;

/// One instance: steps by index, units of time as in the file.
pub struct Instance {
    pub name: String,
    pub duration: Vec<u32>,
    /// Steps done before each.
    pub needs: Vec<Vec<usize>>,
    /// What each step takes of each pool.
    pub demand: Vec<Vec<u32>>,
    pub capacity: Vec<u32>,
    /// Best bounds known.
    pub low: i64,
    pub high: i64,
}

/// The instances of a set in the order of its table, every `every`-th.
pub fn set(folder: &Path, set: &str, every: usize) -> Result<Vec<Instance>, String> {
    let table = folder.join(format!("bounds_{set}.csv"));
    let text = read(&table)?;
    let mut lines = text.lines();
    let head: Vec<&str> = lines.next().unwrap_or("").split(',').collect();
    let column =
        |name: &str| head.iter().position(|h| *h == name).ok_or(format!("{}: no column {name}", table.display()));
    let (instance, low, high) = (column("instance")?, column("best_lb")?, column("best_ub")?);
    let mut out = Vec::new();
    for line in lines.filter(|l| !l.trim().is_empty()).step_by(every.max(1)) {
        let cells: Vec<&str> = line.split(',').collect();
        let cell = |c: usize| cells.get(c).copied().ok_or(format!("{}: short line \"{line}\"", table.display()));
        let number = |c: usize| cell(c)?.trim().parse::<i64>().map_err(|e| format!("{}: {e}", table.display()));
        let name = cell(instance)?;
        let path = folder.join(set).join(name);
        let mut one = parse(&read(&path)?).map_err(|e| format!("{}: {e}", path.display()))?;
        (one.name, one.low, one.high) = (name.to_string(), number(low)?, number(high)?);
        out.push(one);
    }
    Ok(out)
}

fn read(path: &Path) -> Result<String, String> {
    std::fs::read_to_string(path).map_err(|e| format!("{}: {e}", path.display()))
}

/// A file's text to an instance without name and bounds.
pub fn parse(text: &str) -> Result<Instance, String> {
    let lines: Vec<&str> = text.lines().collect();
    let section = |head: &str, skip: usize| {
        let at = lines.iter().position(|l| l.starts_with(head)).ok_or(format!("no section {head}"))?;
        let rows = lines[at + 1..].iter().filter(|l| !l.starts_with("---")).skip(skip);
        Ok::<Vec<Vec<usize>>, String>(rows.take_while(|l| !l.starts_with("***")).map(|l| numbers(l)).collect())
    };
    let links = section("PRECEDENCE RELATIONS", 1)?;
    let asks = section("REQUESTS/DURATIONS", 1)?;
    let pools = section("RESOURCEAVAILABILITIES", 1)?;
    let n = links.len();
    if n == 0 || asks.len() != n {
        return Err(format!("{n} rows of needs, {} of requests", asks.len()));
    }
    let capacity: Vec<u32> = pools.first().ok_or("no capacities")?.iter().map(|&x| x as u32).collect();
    let mut needs = vec![Vec::new(); n];
    for (i, row) in links.iter().enumerate() {
        // Number, modes, how many follow, those that follow.
        if row.len() < 3 || row[0] != i + 1 || row[1] != 1 || row.len() != 3 + row[2] {
            return Err(format!("needs of job {}: {row:?}", i + 1));
        }
        for &f in &row[3..] {
            needs.get_mut(f.wrapping_sub(1)).ok_or(format!("job {} names job {f}", i + 1))?.push(i);
        }
    }
    let mut duration = Vec::with_capacity(n);
    let mut demand = Vec::with_capacity(n);
    for (i, row) in asks.iter().enumerate() {
        if row.len() != 3 + capacity.len() || row[0] != i + 1 {
            return Err(format!("requests of job {}: {row:?}", i + 1));
        }
        duration.push(row[2] as u32);
        demand.push(row[3..].iter().map(|&x| x as u32).collect());
    }
    Ok(Instance { name: String::new(), duration, needs, demand, capacity, low: 0, high: 0 })
}

fn numbers(line: &str) -> Vec<usize> {
    line.split_whitespace().map_while(|w| w.parse().ok()).collect()
}
