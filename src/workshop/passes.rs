//! A large change in passes, with a measurement between them.

/// Amounts of the passes: half of what is left as long as more than `coarse_m` is left, then the rest. Nothing for less
/// than a tenth of a micrometre.
pub fn passes(all_m: f64, coarse_m: f64) -> Vec<f64> {
    let mut left = all_m;
    let mut amounts = Vec::new();
    while left > coarse_m {
        left *= 0.5;
        amounts.push(left);
    }
    if left > 1e-7 {
        amounts.push(left);
    }
    amounts
}

#[cfg(test)]
mod tests {
    use super::passes;

    #[test]
    fn passes_add_up_to_the_change() {
        for all in [0.0, 5e-6, 2.9e-5, 3.1e-5, 1e-4, 7e-4] {
            let amounts = passes(all, 3e-5);
            assert!((amounts.iter().sum::<f64>() - all).abs() < 1e-12, "{all}");
            assert!(amounts.windows(2).all(|pair| pair[1] <= pair[0]) && amounts.len() <= 7);
        }
    }
}
