//! Many revolutions of `N` engines abreast, in the widest vector registers that the processor at hand has.
//!
//! The instructions are chosen when the program runs, so one build serves every processor. Only their width differs: no operation
//! of the model is fused or reordered, so the bits are those of [`Engine::step`] called in a plain loop (`tests/determinism`).

use pulp::{Arch, Simd, WithSimd};

use super::Engine;
use super::state::{Controls, Revolution, State};
use crate::lanes::Lanes;
use crate::noise::Noise;

/// Turns `N` engines `revolutions` times with unchanging controls; returns the seconds that each ran.
///
/// Costs no allocation. A width of 8 is best (`benches/step`); beyond it the compiler spills, and takes minutes.
pub fn run_abreast<const N: usize>(
    engine: &Engine<N>,
    state: &mut State<N>,
    controls: &Controls<N>,
    noise: &[Noise; N],
    revolutions: usize,
) -> Lanes<N> {
    let start = state.time;
    let mut hands = *controls;
    run_abreast_with(engine, state, &mut hands, noise, revolutions, |_, _, _| {});
    state.time - start
}

/// The same, showing every revolution to `hands`, which may move the controls for the next.
pub fn run_abreast_with<const N: usize, H: FnMut(&State<N>, &Revolution<N>, &mut Controls<N>)>(
    engine: &Engine<N>,
    state: &mut State<N>,
    controls: &mut Controls<N>,
    noise: &[Noise; N],
    revolutions: usize,
    hands: H,
) {
    Arch::new().dispatch(Turning {
        engine,
        state,
        controls,
        noise,
        revolutions,
        hands,
    });
}

/// The loop as a value: what `pulp` compiles once for each instruction set.
struct Turning<'a, const N: usize, H> {
    engine: &'a Engine<N>,
    state: &'a mut State<N>,
    controls: &'a mut Controls<N>,
    noise: &'a [Noise; N],
    revolutions: usize,
    hands: H,
}

impl<const N: usize, H: FnMut(&State<N>, &Revolution<N>, &mut Controls<N>)> WithSimd for Turning<'_, N, H> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(mut self, _: S) {
        for _ in 0..self.revolutions {
            let revolution = self.engine.step(self.state, self.controls, self.noise);
            (self.hands)(self.state, &revolution, self.controls);
        }
    }
}
