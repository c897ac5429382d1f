//! How much of the possible heat an exchanger passes on: effectiveness against the number of transfer units (Kays and
//! London), and what follows for heat and outlet temperatures.

use uom::si::f64::{
    Area, HeatTransfer, Power, Ratio, TemperatureInterval, ThermalConductance, ThermodynamicTemperature,
};

use crate::physics::range::{OutOfRange, positive, within};
use crate::physics::temperature::difference;

/// The most transfer units that the functions take; a vehicle's coolers have 0.5 to 5.
const MOST_TRANSFER_UNITS: f64 = 50.0;

/// ε of a crossflow exchanger with both streams unmixed, as a finned tube core is, exactly.
///
/// ε = 1 / (C N) Σ P(m, N) P(m, C N), m from 0, where N is the number of transfer units, C = Cmin / Cmax, and
/// P(m, y) = 1 - e^-y Σ y^j / j!, j from 0 to m (Mason 1954).
///
/// # Errors
/// N is outside 0 to 50, or C outside 0 to 1.
pub fn effectiveness_crossflow(transfer_units: Ratio, capacity_ratio: Ratio) -> Result<Ratio, OutOfRange> {
    let (n, c) = arguments(transfer_units, capacity_ratio)?;
    if c * n < 1e-12 {
        return Ok(Ratio::from(-(-n).exp_m1()));
    }
    // Beyond this many terms even the larger mean leaves less than a double resolves beside the sum.
    let terms = (n + 10.0 * n.sqrt() + 20.0) as usize;
    let sum: f64 = poisson_tails(n, terms).iter().zip(poisson_tails(c * n, terms)).map(|(a, b)| a * b).sum();
    Ok(Ratio::from(sum / (c * n)))
}

/// P(m, y) for m from 0: the chance that a Poisson variable of the mean y exceeds m. Summed from the far end, so that
/// small tails do not come from a difference.
fn poisson_tails(y: f64, terms: usize) -> Vec<f64> {
    let mut tails = Vec::with_capacity(terms);
    let mut chance = (-y).exp();
    for j in 1..=terms {
        chance *= y / j as f64;
        tails.push(chance);
    }
    let mut sum = 0.0;
    for tail in tails.iter_mut().rev() {
        sum += *tail;
        *tail = sum;
    }
    tails
}

/// ε of the same exchanger by the usual approximation, up to 2 % off:
/// ε = 1 - exp(N^0.22 / C (exp(-C N^0.78) - 1)).
///
/// # Errors
/// N is outside 0 to 50, or C outside 0 to 1.
pub fn effectiveness_crossflow_approximate(transfer_units: Ratio, capacity_ratio: Ratio) -> Result<Ratio, OutOfRange> {
    let (n, c) = arguments(transfer_units, capacity_ratio)?;
    if c < 1e-12 {
        return Ok(Ratio::from(-(-n).exp_m1()));
    }
    Ok(Ratio::from(-(n.powf(0.22) / c * (-c * n.powf(0.78)).exp_m1()).exp_m1()))
}

/// ε of a counterflow exchanger, as a plate oil cooler is: ε = (1 - E) / (1 - C E), E = exp(-N (1 - C)); N / (1 + N) at
/// C = 1.
///
/// # Errors
/// N is outside 0 to 50, or C outside 0 to 1.
pub fn effectiveness_counterflow(transfer_units: Ratio, capacity_ratio: Ratio) -> Result<Ratio, OutOfRange> {
    let (n, c) = arguments(transfer_units, capacity_ratio)?;
    if 1.0 - c < 1e-9 {
        return Ok(Ratio::from(n / (1.0 + n)));
    }
    let rest = (-n * (1.0 - c)).exp_m1();
    Ok(Ratio::from(-rest / (1.0 - c - c * rest)))
}

fn arguments(transfer_units: Ratio, capacity_ratio: Ratio) -> Result<(f64, f64), OutOfRange> {
    let (zero, show) = (Ratio::from(0.0), |r: Ratio| r.value.to_string());
    let n = within("number of transfer units", transfer_units, zero, Ratio::from(MOST_TRANSFER_UNITS), show)?;
    let c = within("ratio of the heat capacity flows", capacity_ratio, zero, Ratio::from(1.0), show)?;
    Ok((n.value, c.value))
}

/// What a heat exchanger does in a steady state.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeatExchange {
    /// N = U A / Cmin.
    pub transfer_units: Ratio,
    /// C = Cmin / Cmax.
    pub capacity_ratio: Ratio,
    /// ε, heat passed on over the heat that an endless exchanger would pass on.
    pub effectiveness: Ratio,
    /// Q, the heat passed on per time.
    pub heat: Power,
    /// Temperature at which the hot stream enters.
    pub hot_in: ThermodynamicTemperature,
    /// Temperature at which the hot stream leaves.
    pub hot_out: ThermodynamicTemperature,
    /// Temperature at which the cold stream enters.
    pub cold_in: ThermodynamicTemperature,
    /// Temperature at which the cold stream leaves.
    pub cold_out: ThermodynamicTemperature,
}

/// The two heat capacity flows (mass flow times specific heat) and the conductance U A of a crossflow exchanger.
pub(super) struct Streams {
    pub hot: ThermalConductance,
    pub cold: ThermalConductance,
    pub least: ThermalConductance,
    pub transfer_units: Ratio,
    pub capacity_ratio: Ratio,
    pub effectiveness: Ratio,
}

impl Streams {
    pub fn new(
        hot: ThermalConductance,
        cold: ThermalConductance,
        conductance: ThermalConductance,
    ) -> Result<Streams, OutOfRange> {
        let hot = positive("heat capacity flow of the hot stream", hot)?;
        let cold = positive("heat capacity flow of the cold stream", cold)?;
        let (least, most) = (hot.min(cold), hot.max(cold));
        let transfer_units: Ratio = positive("conductance of the exchanger", conductance)? / least;
        let capacity_ratio: Ratio = least / most;
        let effectiveness = effectiveness_crossflow(transfer_units, capacity_ratio)?;
        Ok(Streams { hot, cold, least, transfer_units, capacity_ratio, effectiveness })
    }

    pub fn exchange(
        &self,
        heat: Power,
        hot_in: ThermodynamicTemperature,
        cold_in: ThermodynamicTemperature,
    ) -> HeatExchange {
        let fall: TemperatureInterval = heat / self.hot;
        let rise: TemperatureInterval = heat / self.cold;
        HeatExchange {
            transfer_units: self.transfer_units,
            capacity_ratio: self.capacity_ratio,
            effectiveness: self.effectiveness,
            heat,
            hot_in,
            hot_out: hot_in - fall,
            cold_in,
            cold_out: cold_in + rise,
        }
    }
}

/// The steady state of a crossflow exchanger, both streams unmixed: Q = ε Cmin (hot in - cold in).
///
/// `hot_capacity` and `cold_capacity` are the heat capacity flows, mass flow times specific heat; `conductance` is U A.
///
/// # Errors
/// A capacity flow or the conductance is not above zero, the hot stream is not the hotter one, or U A / Cmin is above
/// 50.
pub fn heat_exchange(
    hot_in: ThermodynamicTemperature,
    cold_in: ThermodynamicTemperature,
    hot_capacity: ThermalConductance,
    cold_capacity: ThermalConductance,
    conductance: ThermalConductance,
) -> Result<HeatExchange, OutOfRange> {
    let streams = Streams::new(hot_capacity, cold_capacity, conductance)?;
    let apart = positive("difference of the two inlet temperatures", difference(hot_in, cold_in))?;
    let heat = streams.effectiveness * streams.least * apart;
    Ok(streams.exchange(heat, hot_in, cold_in))
}

/// The logarithmic mean of the temperature differences at both ends of a counterflow exchanger:
/// (Δ1 - Δ2) / ln(Δ1 / Δ2), Δ1 = hot in - cold out, Δ2 = hot out - cold in.
///
/// # Errors
/// One of the differences is not above zero: heat would have to flow uphill.
pub fn log_mean_difference(
    hot_in: ThermodynamicTemperature,
    hot_out: ThermodynamicTemperature,
    cold_in: ThermodynamicTemperature,
    cold_out: ThermodynamicTemperature,
) -> Result<TemperatureInterval, OutOfRange> {
    let one = positive("hot inlet less cold outlet temperature", difference(hot_in, cold_out))?;
    let other = positive("hot outlet less cold inlet temperature", difference(hot_out, cold_in))?;
    let ratio: Ratio = one / other;
    // Near equality the quotient is 0/0; its series there is the mean, off by less than the square of the distance.
    if (ratio.value - 1.0).abs() < 1e-6 {
        return Ok((one + other) / 2.0);
    }
    Ok((one - other) / ratio.value.ln())
}

/// U = Q / (F A Δ), overall heat transfer coefficient of the area A which passes the heat Q at the logarithmic mean
/// difference Δ with the correction F for crossflow.
///
/// # Errors
/// The area, the difference or the correction is not above zero, or the correction is above 1.
pub fn overall_heat_transfer(
    heat: Power,
    area: Area,
    mean_difference: TemperatureInterval,
    correction: Ratio,
) -> Result<HeatTransfer, OutOfRange> {
    let one = Ratio::from(1.0);
    let least = Ratio::from(f64::MIN_POSITIVE);
    let correction = within("correction for crossflow", correction, least, one, |r| r.value.to_string())?;
    Ok(heat / (positive("area", area)? * positive("mean temperature difference", mean_difference)? * correction))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::thermal_conductance::watt_per_kelvin;
    use uom::si::thermodynamic_temperature::degree_celsius;

    use super::*;

    fn crossflow(n: f64, c: f64) -> f64 {
        effectiveness_crossflow(Ratio::from(n), Ratio::from(c)).expect("in range").value
    }

    fn celsius(value: f64) -> ThermodynamicTemperature {
        ThermodynamicTemperature::new::<degree_celsius>(value)
    }

    fn conductance(value: f64) -> ThermalConductance {
        ThermalConductance::new::<watt_per_kelvin>(value)
    }

    #[test]
    fn limits_are_those_of_an_evaporator_and_of_nothing() {
        for n in [0.0f64, 0.1, 1.0, 4.0, 50.0] {
            assert!((crossflow(n, 0.0) - (1.0 - (-n).exp())).abs() < 1e-12);
            assert!((crossflow(n, 1e-9) - (1.0 - (-n).exp())).abs() < 1e-6);
        }
        assert!(crossflow(0.0, 0.7).abs() < 1e-15);
    }

    #[test]
    fn refuses_what_is_no_exchanger() {
        for (n, c) in [(-0.1, 0.5), (50.1, 0.5), (1.0, 1.01), (1.0, -0.01), (f64::NAN, 0.5), (1.0, f64::NAN)] {
            assert!(effectiveness_crossflow(Ratio::from(n), Ratio::from(c)).is_err());
            assert!(effectiveness_crossflow_approximate(Ratio::from(n), Ratio::from(c)).is_err());
            assert!(effectiveness_counterflow(Ratio::from(n), Ratio::from(c)).is_err());
        }
        let (one, two) = (conductance(1000.0), conductance(2000.0));
        assert!(heat_exchange(celsius(20.0), celsius(30.0), one, two, one).is_err());
        assert!(heat_exchange(celsius(90.0), celsius(30.0), conductance(0.0), two, one).is_err());
        assert!(log_mean_difference(celsius(90.0), celsius(60.0), celsius(20.0), celsius(95.0)).is_err());
    }

    #[test]
    fn equal_differences_are_their_own_mean() {
        let mean = log_mean_difference(celsius(90.0), celsius(60.0), celsius(20.0), celsius(50.0)).expect("in range");
        assert!((mean.value - 40.0).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn effectiveness_grows_with_size_and_falls_with_balance(n in 0.05..20.0f64, c in 0.01..0.98f64) {
            let here = crossflow(n, c);
            prop_assert!(here > 0.0 && here < 1.0);
            prop_assert!(crossflow(n + 0.01, c) > here);
            prop_assert!(crossflow(n, c + 0.01) < here);
        }

        #[test]
        fn crossflow_lies_below_counterflow_and_near_its_approximation(n in 0.1..6.0f64, c in 0.05..1.0f64) {
            let counter = effectiveness_counterflow(Ratio::from(n), Ratio::from(c)).expect("in range").value;
            let near = effectiveness_crossflow_approximate(Ratio::from(n), Ratio::from(c)).expect("in range").value;
            prop_assert!(crossflow(n, c) <= counter + 1e-12);
            prop_assert!((near / crossflow(n, c) - 1.0).abs() < 0.045);
        }

        #[test]
        fn what_one_stream_loses_the_other_gains(h in 500.0..6000.0f64, k in 500.0..6000.0f64, ua in 100.0..6000.0f64) {
            let done = heat_exchange(celsius(95.0), celsius(35.0), conductance(h), conductance(k), conductance(ua))
                .expect("in range");
            let lost = h * difference(done.hot_in, done.hot_out).value;
            let gained = k * difference(done.cold_out, done.cold_in).value;
            prop_assert!((lost / gained - 1.0).abs() < 1e-9);
            prop_assert!((lost / done.heat.value - 1.0).abs() < 1e-9);
            let swapped = heat_exchange(celsius(95.0), celsius(35.0), conductance(k), conductance(h), conductance(ua))
                .expect("in range");
            prop_assert!(((swapped.heat / done.heat).value - 1.0).abs() < 1e-12);
        }
    }
}
