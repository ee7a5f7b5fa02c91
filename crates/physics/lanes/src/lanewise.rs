//! Structures of lanes, and the same structures of one lane alone.

use crate::Lane;

/// A structure of lanes whose lanes can be filled and taken out one by one.
///
/// For a structure with fields of lanes, [`lanewise!`](crate::lanewise) writes the implementation.
pub trait Lanewise {
    /// The same structure of one lane.
    type One;
    /// With `one` in every lane.
    fn from_one(one: &Self::One) -> Self;
    /// What one lane holds. Panics when `lane` is not below the lane count.
    fn one(&self, lane: usize) -> Self::One;
    /// Puts `one` into a lane. Panics when `lane` is not below the lane count.
    fn set_one(&mut self, lane: usize, one: &Self::One);
}

impl<V: Lane> Lanewise for V {
    type One = f64;
    fn from_one(one: &f64) -> Self {
        V::splat(*one)
    }
    fn one(&self, lane: usize) -> f64 {
        self.get(lane)
    }
    fn set_one(&mut self, lane: usize, one: &f64) {
        self.set(lane, *one);
    }
}

impl<T: Lanewise, const N: usize> Lanewise for [T; N] {
    type One = [T::One; N];
    fn from_one(one: &Self::One) -> Self {
        std::array::from_fn(|i| T::from_one(&one[i]))
    }
    fn one(&self, lane: usize) -> Self::One {
        std::array::from_fn(|i| self[i].one(lane))
    }
    fn set_one(&mut self, lane: usize, one: &Self::One) {
        for (own, one) in self.iter_mut().zip(one) {
            own.set_one(lane, one);
        }
    }
}

/// All lanes have the same length.
impl<T: Lanewise> Lanewise for Vec<T> {
    type One = Vec<T::One>;
    fn from_one(one: &Self::One) -> Self {
        one.iter().map(T::from_one).collect()
    }
    fn one(&self, lane: usize) -> Self::One {
        self.iter().map(|own| own.one(lane)).collect()
    }
    fn set_one(&mut self, lane: usize, one: &Self::One) {
        for (own, one) in self.iter_mut().zip(one) {
            own.set_one(lane, one);
        }
    }
}

/// Implements [`Lanewise`] for a structure `name<V>` or `name<V, S>` by its fields; those after
/// `same` are copied, and are the same in all lanes.
#[macro_export]
macro_rules! lanewise {
    ($name:ident $(, $s:ident)? { $($field:ident),+ $(,)? } $(same { $($same:ident),+ })?) => {
        impl<V: $crate::Lane $(, const $s: usize)?> $crate::Lanewise for $name<V $(, $s)?> {
            type One = $name<f64 $(, $s)?>;
            fn from_one(one: &Self::One) -> Self {
                $name {
                    $($field: $crate::Lanewise::from_one(&one.$field),)+
                    $($($same: one.$same,)+)?
                }
            }
            fn one(&self, lane: usize) -> Self::One {
                $name {
                    $($field: $crate::Lanewise::one(&self.$field, lane),)+
                    $($($same: self.$same,)+)?
                }
            }
            fn set_one(&mut self, lane: usize, one: &Self::One) {
                $($crate::Lanewise::set_one(&mut self.$field, lane, &one.$field);)+
            }
        }
    };
}

#[cfg(test)]
mod tests {
    use crate::{Lanes, Lanewise};

    #[derive(Debug, PartialEq)]
    struct Pair<V> {
        a: V,
        b: [V; 2],
        name: &'static str,
    }
    lanewise!(Pair { a, b } same { name });

    #[test]
    fn a_lane_comes_out_as_it_was_put_in_and_leaves_the_others() {
        type Two = Lanes<f64, 2, false>;
        let (x, y) = (
            Pair { a: 1.0, b: [2.0, 3.0], name: "pair" },
            Pair { a: 4.0, b: [5.0, 6.0], name: "pair" },
        );
        let mut both: Pair<Two> = Lanewise::from_one(&x);
        both.set_one(1, &y);
        assert_eq!(both.one(0), x);
        assert_eq!(both.one(1), y);
    }
}
