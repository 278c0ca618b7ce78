//! What an offered line would put in place of what was typed: the words that are new.

/// The words of a text between blanks and commas, with where they stand.
fn tokens(text: &str) -> Vec<(usize, &str)> {
    let mut at = 0;
    let mut out = Vec::new();
    for part in text.split([' ', ',']) {
        if !part.is_empty() {
            out.push((at, part));
        }
        at += part.len() + 1;
    }
    out
}

/// What an offer would put in place of what its line has: the words that are new.
pub fn differs(line: &str, offer: &str) -> String {
    let (a, b) = (tokens(line), tokens(offer));
    let same = a.iter().zip(&b).take_while(|(x, y)| x.1 == y.1).count();
    let rest = a.len().min(b.len()) - same;
    let behind = a.iter().rev().zip(b.iter().rev()).take(rest).take_while(|(x, y)| x.1 == y.1).count();
    let between = |text: &str, of: &[(usize, &str)]| {
        let words = &of[same..of.len() - behind];
        let ends = words.first().zip(words.last());
        ends.map(|(first, last)| text[first.0..last.0 + last.1.len()].to_string())
    };
    match (between(offer, &b), between(line, &a)) {
        (Some(new), _) => new,
        (None, Some(gone)) => format!("leave out {gone}"),
        (None, None) => offer.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_offer_shows_the_words_that_are_new() {
        assert_eq!(differs("study 13 x 11 x 8, dor 32x80", "study 13 x 11 x 8, door 32x80"), "door");
        assert_eq!(differs("hall 14 x 4", "hall 14 x 4 x 8"), "x 8");
        assert_eq!(differs("hall 14 x 4 x 80", "hall 14 x 4 x 8, 2 doors"), "8, 2 doors");
        assert_eq!(differs("bath 8 x 5 x 8,dor,sink", "bath 8 x 5 x 8,door 30x80,sink"), "door 30x80");
        assert_eq!(differs("hall 14 x 4 x 8, stairs", "hall 14 x 4 x 8"), "leave out stairs");
        assert_eq!(differs("hall 14", "hall,  14"), "hall,  14");
    }
}
