//! Mean and spread that keep their digits where the spread is small beside the mean, as it is in a
//! column of rates.

/// The arithmetic mean; `None` of nothing.
pub fn mean(values: &[f64]) -> Option<f64> {
    if values.is_empty() {
        return None;
    }
    let count = values.len() as f64;
    let rough = sum(values.iter().copied()) / count;
    // What the division lost is found again from the residuals.
    Some(rough + sum(values.iter().map(|value| value - rough)) / count)
}

/// The largest less the smallest; `None` of nothing.
pub fn spread(values: &[f64]) -> Option<f64> {
    let smallest = values.iter().copied().reduce(f64::min)?;
    let largest = values.iter().copied().reduce(f64::max)?;
    Some(largest - smallest)
}

/// Neumaier's sum: the low digits that an addition drops are gathered and added last.
fn sum(values: impl Iterator<Item = f64>) -> f64 {
    let (mut total, mut dropped) = (0.0_f64, 0.0_f64);
    for value in values {
        let next = total + value;
        dropped += if total.abs() >= value.abs() { (total - next) + value } else { (value - next) + total };
        total = next;
    }
    total + dropped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_too_little() {
        assert_eq!(mean(&[]), None);
        assert_eq!(spread(&[]), None);
    }

    #[test]
    fn digits_beside_a_large_mean() {
        let values = [1e9 + 1.0, 1e9 + 3.0, 1e9 + 2.0];
        assert_eq!(mean(&values), Some(1e9 + 2.0));
        assert_eq!(spread(&values), Some(2.0));
    }
}
