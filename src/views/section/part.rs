//! A part of the section by itself: some of its rooms, or the room without what lies below its floor.
//!
//! What holds the date stays that of the whole job, with the tags of its rooms. Refuses to know sheets: who draws it
//! says which rooms stand together.

use std::ops::Range;

use super::{Level, Model};

impl Model {
    /// These rooms alone, with what of the shop, the booth and what comes in is theirs or nobody's.
    #[must_use]
    pub fn of_rooms(&self, rooms: Range<usize>) -> Model {
        let theirs = |r: Option<usize>| r.is_none_or(|r| rooms.contains(&r));
        let to = |r: Option<usize>| r.map(|r| r - rooms.start);
        let mut out = self.of(|b| theirs(self.bands[b].room), |b| theirs(self.blocks[b].room));
        out.rooms = self.rooms.get(rooms.clone()).unwrap_or_default().to_vec();
        out.bands.iter_mut().for_each(|b| b.room = to(b.room));
        out.blocks.iter_mut().for_each(|b| b.room = to(b.room));
        out
    }

    /// The room from the ceiling to the floor with what comes in, or what lies below its floor.
    #[must_use]
    pub fn half(&self, above: bool) -> Model {
        let here = |b: usize| matches!(self.bands[b].level, Level::Shop | Level::Booth) != above;
        self.of(here, |b| here(self.blocks[b].band))
    }

    /// The bands and blocks that are kept.
    fn of(&self, band: impl Fn(usize) -> bool, block: impl Fn(usize) -> bool) -> Model {
        let mut out = self.clone();
        // Who holds the date is told by the tag of the room it had here.
        let tag = |steps: &[usize]| {
            let of = steps.first().and_then(|&s| self.block_of(s)).and_then(|b| self.blocks[b].room);
            of.and_then(|r| self.rooms.get(r)).filter(|_| self.many).map(|r| format!("{} ", r.tag))
        };
        for p in &mut out.pieces {
            p.word = format!("{}{}", tag(&p.steps).unwrap_or_default(), p.word);
            p.steps.clear();
        }
        let kept: Vec<usize> = (0..self.bands.len()).filter(|&b| band(b)).collect();
        let place = |b: usize| kept.iter().position(|&k| k == b);
        out.bands = kept.iter().map(|&b| self.bands[b].clone()).collect();
        out.blocks = Vec::new();
        for (i, b) in self.blocks.iter().enumerate().filter(|(i, _)| block(*i)) {
            if let (Some(top), Some(low)) = (place(b.band), place(b.lowest)) {
                let mut b = self.blocks[i].clone();
                (b.band, b.lowest) = (top, low);
                out.blocks.push(b);
            }
        }
        out.by_step = super::model::by_step(&out.blocks);
        out
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Ask, layout, samples};

    #[test]
    fn every_block_stands_in_the_part_of_its_room_and_in_no_other() {
        for (name, m) in samples() {
            let mut seen = vec![0; m.blocks.len()];
            for r in 0..m.rooms.len() {
                let part = m.of_rooms(r..r + 1);
                assert_eq!(part.rooms.len(), 1, "{name}");
                for b in &part.blocks {
                    let whole = m.blocks.iter().position(|x| x.step == b.step && x.begin == b.begin).expect("a block");
                    seen[whole] += 1;
                    assert_eq!(part.bands[b.band].name, m.bands[m.blocks[whole].band].name, "{name}: {}", b.id);
                }
                let out = layout(&part, &Ask { height: 5000.0, ..Ask::default() });
                assert_eq!((out.open.len(), out.most_scroll.y < 0.5), (1, true), "{name}");
            }
            let once = m.blocks.iter().zip(&seen).filter(|(b, _)| b.room.is_some()).all(|(_, n)| *n == 1);
            assert!(once, "{name}: {seen:?}");
            let halves: usize = [true, false].map(|above| m.half(above).blocks.len()).iter().sum();
            assert!(halves <= m.blocks.len() && halves * 10 > m.blocks.len() * 9, "{name}: {halves}");
        }
    }
}
