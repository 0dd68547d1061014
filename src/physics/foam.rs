//! Closed-cell foam: a wet suit, a hood, the shell of a neoprene dry suit.

use crate::units::ATMOSPHERE_PA;

/// A piece of closed-cell foam with a solid part and a gas part.
///
/// `V(p) = V₀·[(1 − φ) + φ·p₀/(p₀ + β·(p − p₀))]`
///
/// | symbol | in code | meaning | unit |
/// | --- | --- | --- | --- |
/// | V₀ | `volume0_m3` | volume at `p₀`, solid and gas together | m³ |
/// | φ | `gas_frac` | gas fraction by volume at `p₀`, 0..1 | 1 |
/// | β | `compliance_frac` | share of the squeeze that the rubber does not carry itself, 0..1; 1 is Boyle | 1 |
/// | p₀ | [`FOAM_REFERENCE_PA`] | one standard atmosphere, where `V₀` was taken | Pa |
///
/// Foam gas keeps the water's temperature; the foam does not age or creep during one dive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Foam {
    /// Volume at the reference pressure, m³.
    pub volume0_m3: f64,
    /// Gas fraction by volume at the reference pressure, 0..1.
    pub gas_frac: f64,
    /// Share of the squeeze that the rubber does not carry itself, 0..1.
    pub compliance_frac: f64,
}

/// Pressure at which a foam's volume is stated, Pa: one standard atmosphere.
pub const FOAM_REFERENCE_PA: f64 = ATMOSPHERE_PA;

impl Foam {
    /// Volume of the foam's gas alone at absolute pressure `p_pa`, m³.
    #[inline]
    pub fn gas_m3(&self, p_pa: f64) -> f64 {
        let p0 = FOAM_REFERENCE_PA;
        self.volume0_m3 * self.gas_frac * p0 / (p0 + self.compliance_frac * (p_pa - p0))
    }

    /// Volume of the whole piece at absolute pressure `p_pa`, m³.
    ///
    /// ```
    /// use lightpoint::Foam;
    /// // Boyle on the gas alone: at twice the pressure the gas part is half.
    /// let foam = Foam { volume0_m3: 0.010, gas_frac: 0.8, compliance_frac: 1.0 };
    /// assert!((foam.volume_m3(2.0 * 101_325.0) - 0.006).abs() < 1e-12);
    /// ```
    #[inline]
    pub fn volume_m3(&self, p_pa: f64) -> f64 {
        self.volume0_m3 * (1.0 - self.gas_frac) + self.gas_m3(p_pa)
    }

    /// Gas volume that answers a change of pressure as a free bubble would: `−p·dV/dp`, m³. Equal to
    /// [`Foam::gas_m3`] for `β = 1`, smaller for stiffer foam.
    #[inline]
    pub fn compressible_m3(&self, p_pa: f64) -> f64 {
        let p0 = FOAM_REFERENCE_PA;
        self.gas_m3(p_pa) * self.compliance_frac * p_pa / (p0 + self.compliance_frac * (p_pa - p0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FOAM: Foam = Foam { volume0_m3: 0.010, gas_frac: 0.75, compliance_frac: 0.6 };

    #[test]
    fn volume_at_reference_is_the_stated_one() {
        assert!((FOAM.volume_m3(FOAM_REFERENCE_PA) - 0.010).abs() < 1e-15);
    }

    #[test]
    fn compressible_volume_is_the_slope() {
        let (p, h) = (3.1e5, 10.0);
        let slope = (FOAM.volume_m3(p + h) - FOAM.volume_m3(p - h)) / (2.0 * h);
        assert!((-p * slope / FOAM.compressible_m3(p) - 1.0).abs() < 1e-7);
    }

    #[test]
    fn solid_rubber_does_not_shrink() {
        let solid = Foam { gas_frac: 0.0, ..FOAM };
        assert_eq!(solid.volume_m3(2e6), 0.010);
    }
}
