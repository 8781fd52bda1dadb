//! The balance: beats, amplitude, beat error, rate.
//!
//! `vph` counts single beats, as the trade does: 28 800 vph is 4 Hz. The balance is taken as
//! harmonic and the lift angle as centred on its point of rest.

use std::f64::consts::PI;

/// Full oscillations a second.
pub fn frequency_hz(vph: f64) -> f64 {
    vph / 7200.0
}

/// Single beats a second.
pub fn beats_per_second(vph: f64) -> f64 {
    vph / 3600.0
}

/// From one beat to the next, ms.
pub fn beat_ms(vph: f64) -> f64 {
    3.6e6 / vph
}

/// One full oscillation, ms.
pub fn period_ms(vph: f64) -> f64 {
    2.0 * beat_ms(vph)
}

/// How far a centre seconds hand steps at each beat, degrees.
pub fn seconds_step_deg(vph: f64) -> f64 {
    6.0 / beats_per_second(vph)
}

/// The amplitude (degrees from rest to the turning point) from the time between the unlocking
/// sound and the drop, ms: half the lift angle over sin(pi dt vph / 7200).
///
/// `None` where that time cannot be: not positive, or longer than half a beat.
pub fn amplitude_deg(lift_angle_deg: f64, pulse_ms: f64, vph: f64) -> Option<f64> {
    let phase = PI * (pulse_ms / 1000.0) * frequency_hz(vph);
    (0.0 < phase && phase <= PI / 2.0).then(|| lift_angle_deg / 2.0 / libm::sin(phase))
}

/// The short form of [`amplitude_deg`] in use for large amplitudes: the sine taken as its angle.
/// It reads low, by 0.3 degrees at 270.
pub fn amplitude_small_angle_deg(lift_angle_deg: f64, pulse_ms: f64, vph: f64) -> f64 {
    3600.0 * lift_angle_deg / (PI * (pulse_ms / 1000.0) * vph)
}

/// The time between the unlocking sound and the drop, ms; `None` where the amplitude does not
/// reach through the lift angle.
pub fn pulse_ms(lift_angle_deg: f64, amplitude_deg: f64, vph: f64) -> Option<f64> {
    let half = lift_angle_deg / 2.0;
    (0.0 < half && half <= amplitude_deg)
        .then(|| 1000.0 * libm::asin(half / amplitude_deg) / (PI * frequency_hz(vph)))
}

/// The amplitude of a machine that was set to the wrong lift angle, put right: displayed x true
/// lift angle / the one it was set to. Rate and beat error do not use the lift angle.
pub fn corrected_amplitude_deg(displayed_deg: f64, set_lift_deg: f64, true_lift_deg: f64) -> f64 {
    displayed_deg * true_lift_deg / set_lift_deg
}

/// The beat error by the definition used throughout: half the difference between tick to tock and
/// tock to tick, abs(t1 - t2) / 2, ms.
pub fn beat_error_ms(tick_to_tock_ms: f64, tock_to_tick_ms: f64) -> f64 {
    beat_error_full_ms(tick_to_tock_ms, tock_to_tick_ms) / 2.0
}

/// The other definition in use, abs(t1 - t2), twice [`beat_error_ms`].
pub fn beat_error_full_ms(tick_to_tock_ms: f64, tock_to_tick_ms: f64) -> f64 {
    (tick_to_tock_ms - tock_to_tick_ms).abs()
}

/// The beat error, abs(t1 - t2) / 2 in ms, of a balance whose point of rest lies `off_centre_deg`
/// beside the line of centres; `None` where the amplitude does not reach so far.
pub fn beat_error_of_angle_ms(off_centre_deg: f64, amplitude_deg: f64, vph: f64) -> Option<f64> {
    let sine = off_centre_deg.abs() / amplitude_deg;
    (0.0..=1.0).contains(&sine).then(|| libm::asin(sine) * period_ms(vph) / PI)
}

/// The rate, s/d, of a watch that gained so many seconds (lost: negative) over so many hours.
pub fn rate_s_per_day(gained_s: f64, elapsed_h: f64) -> f64 {
    gained_s * 24.0 / elapsed_h
}

/// The rate, s/d, of an oscillator that runs at another frequency than its nominal one.
pub fn rate_of_frequency_s_per_day(nominal_hz: f64, measured_hz: f64) -> f64 {
    (measured_hz - nominal_hz) / nominal_hz * DAY_S
}

/// A rate in parts per million.
pub fn rate_ppm(s_per_day: f64) -> f64 {
    s_per_day * 1e6 / DAY_S
}

/// How finely a rate can be known (one sigma, s/d) from two time stamps that are good to
/// `stamp_us` each and `window_s` apart.
pub fn rate_resolution_s_per_day(stamp_us: f64, window_s: f64) -> f64 {
    std::f64::consts::SQRT_2 * stamp_us * 1e-6 / window_s * DAY_S
}

const DAY_S: f64 = 86_400.0;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back() {
        for amplitude in [120.0, 200.0, 270.0, 315.0] {
            let pulse = pulse_ms(52.0, amplitude, 28_800.0).unwrap();
            assert!((amplitude_deg(52.0, pulse, 28_800.0).unwrap() - amplitude).abs() < 1e-9);
        }
    }

    #[test]
    fn what_cannot_be() {
        assert_eq!(amplitude_deg(52.0, 0.0, 28_800.0), None);
        assert_eq!(amplitude_deg(52.0, 130.0, 28_800.0), None);
        assert_eq!(pulse_ms(52.0, 20.0, 28_800.0), None);
        assert_eq!(beat_error_of_angle_ms(300.0, 280.0, 28_800.0), None);
    }
}
