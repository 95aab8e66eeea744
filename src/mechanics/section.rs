//! Stiffness of a section made of layers.

/// One layer of a section: a rectangle of one material.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layer {
    /// Width, mm.
    pub width: f64,
    /// Its underside, mm above any common line.
    pub bottom: f64,
    /// Its top.
    pub top: f64,
    /// Modulus of elasticity, N/mm2.
    pub elasticity: f64,
}

/// Bending stiffness of layers bonded to one another, N mm2, by transformed sections:
/// `y = sum E A y / sum E A`, `EI = sum E (b t^3 / 12 + b t (y_i - y)^2)` (any text on strength of
/// materials; used for layered wood in the USDA Wood Handbook, ch. 9).
///
/// Layers that lie loose on one another slide: their stiffnesses, each worked out alone, add up.
pub fn bonded(layers: &[Layer]) -> f64 {
    let area = |layer: &Layer| layer.width * (layer.top - layer.bottom);
    let middle = |layer: &Layer| (layer.top + layer.bottom) / 2.0;
    let weight: f64 = layers.iter().map(|layer| layer.elasticity * area(layer)).sum();
    if weight <= 0.0 {
        return 0.0;
    }
    let axis = layers.iter().map(|layer| layer.elasticity * area(layer) * middle(layer)).sum::<f64>() / weight;
    layers
        .iter()
        .map(|layer| {
            let (tall, off) = (layer.top - layer.bottom, middle(layer) - axis);
            layer.elasticity * (layer.width * tall * tall * tall / 12.0 + area(layer) * off * off)
        })
        .sum()
}
