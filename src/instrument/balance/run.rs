//! The cheapest run of gaps: every reed's own loss and the kinks between neighbours, weighed exactly.

/// A height that one reed of a run may have, and what it costs by itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Choice {
    /// The height.
    pub height: f64,
    /// Its cost, without its neighbours.
    pub cost: f64,
}

/// How far the middle of three neighbours stands off the line through the others, twice: the second difference.
pub fn kink(before: f64, here: f64, after: f64) -> f64 {
    before - 2.0 * here + after
}

/// What a run costs: `sum of cost_i + weight * sum of (y_(i-1) - 2 y_i + y_(i+1))^2`. Lists are as long as each other.
pub fn run_cost(run: &[Choice], weight: f64) -> f64 {
    let bent: f64 = run.windows(3).map(|w| kink(w[0].height, w[1].height, w[2].height).powi(2)).sum();
    run.iter().map(|choice| choice.cost).sum::<f64>() + weight * bent
}

/// Of all ways to take one choice from each list the one with the least [`run_cost`]: the index taken from each; of equal
/// ones the one found first. Nothing where a list is empty.
///
/// Exact, by dynamic programming over pairs of neighbours (R. Bellman, *Dynamic Programming*, 1957; along a chain also
/// known as the Viterbi algorithm): the least cost of all that lies before a pair depends on the pair alone, so each pair
/// needs to look back only at the reed before it. Time grows with the third power of the choices and with the length.
///
/// ```
/// use freereed::instrument::balance::run::{Choice, cheapest_run};
/// let choice = |height: f64, cost: f64| Choice { height, cost };
/// // Alone the middle one would stand off; with weight on the kink it falls into line.
/// let run = vec![vec![choice(0.0, 0.0)], vec![choice(0.0, 0.1), choice(1.0, 0.0)], vec![choice(0.0, 0.0)]];
/// assert_eq!(cheapest_run(&run, 0.0).unwrap(), [0, 1, 0]);
/// assert_eq!(cheapest_run(&run, 1.0).unwrap(), [0, 0, 0]);
/// ```
pub fn cheapest_run(choices: &[Vec<Choice>], weight: f64) -> Option<Vec<usize>> {
    if choices.iter().any(Vec::is_empty) {
        return None;
    }
    let [first, second, rest @ ..] = choices else {
        return Some(choices.iter().map(|only| least(only.iter().map(|choice| choice.cost)).0).collect());
    };
    // The least cost up to each pair, by the later one and then the earlier; and from where each pair came.
    let mut costs: Vec<Vec<f64>> = second.iter().map(|b| first.iter().map(|a| a.cost + b.cost).collect()).collect();
    let mut steps: Vec<Vec<Vec<usize>>> = Vec::with_capacity(rest.len());
    let (mut before, mut here) = (first, second);
    for next in rest {
        let pair = |c: &Choice, b: usize| {
            let bent = |a: &Choice| weight * kink(a.height, here[b].height, c.height).powi(2);
            let (from, cost) = least(before.iter().zip(&costs[b]).map(|(a, cost)| cost + bent(a)));
            (from, cost + c.cost)
        };
        let found: Vec<Vec<(usize, f64)>> =
            next.iter().map(|c| (0..here.len()).map(|b| pair(c, b)).collect()).collect();
        steps.push(found.iter().map(|row| row.iter().map(|pair| pair.0).collect()).collect());
        costs = found.iter().map(|row| row.iter().map(|pair| pair.1).collect()).collect();
        (before, here) = (here, next);
    }
    Some(trace_back(&costs, &steps))
}

/// From the cheapest last pair back to the first.
fn trace_back(costs: &[Vec<f64>], steps: &[Vec<Vec<usize>>]) -> Vec<usize> {
    let best = costs.iter().map(|row| least(row.iter().copied()));
    let (mut later, _) = least(best.clone().map(|(_, cost)| cost));
    let mut earlier = best.map(|(index, _)| index).nth(later).unwrap_or(0);
    let mut path = vec![later, earlier];
    for step in steps.iter().rev() {
        (later, earlier) = (earlier, step[later][earlier]);
        path.push(earlier);
    }
    path.reverse();
    path
}

/// The least of some costs and where it is first.
fn least(costs: impl Iterator<Item = f64>) -> (usize, f64) {
    costs.enumerate().fold((0, f64::INFINITY), |best, (index, cost)| if cost < best.1 { (index, cost) } else { best })
}
