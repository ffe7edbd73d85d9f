//! Where a function crosses zero.

/// A zero between two places where the function has opposite signs, to within `allowed` of its value, by the Illinois form of
/// regula falsi (M. Dowell and P. Jarratt, BIT 11 (1971) 168, from memory). `ends`: place and value.
pub(crate) fn crossing(ends: [(f64, f64); 2], allowed: f64, mut f: impl FnMut(f64) -> f64) -> f64 {
    let [(mut a, mut fa), (mut b, mut fb)] = ends;
    // Far more steps than it needs: round-off may keep the last digits from settling.
    for _ in 0..40 {
        if fb.abs() <= allowed || fa == fb {
            break;
        }
        let c = b - fb * (b - a) / (fb - fa);
        let fc = f(c);
        if fc * fb <= 0.0 {
            (a, fa) = (b, fb);
        } else {
            fa *= 0.5;
        }
        (b, fb) = (c, fc);
    }
    b
}
