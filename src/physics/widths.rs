//! One source, compiled for each width of vector that the processor may have, and chosen at run time.

/// Compiles a function, and all that it takes in by `#[inline(always)]`, for each width.
macro_rules! for_each_width {
    ($(#[$attribute:meta])* $visible:vis fn $($rest:tt)*) => {
        #[multiversion::multiversion(targets(
            "x86_64+avx+avx2+avx512f+avx512dq+avx512vl",
            "x86_64+avx+avx2",
            "aarch64+neon"
        ))]
        $(#[$attribute])*
        $visible fn $($rest)*
    };
}

pub(super) use for_each_width;
