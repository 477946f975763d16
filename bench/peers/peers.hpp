// SPDX-License-Identifier: BSL-1.0
#pragma once

#include <complex>
#include <cstddef>

#include "../circuits.hpp"

/// The same circuits as a program would compute them without the library. Every response is the sum over all EMFs, each
/// of 1 V. Each function is in a shared library of its own: built with other flags, inline functions of the standard
/// library must not mix with ours.
namespace bench {

/// Impedances in std::complex<double>, as a textbook writes them.
void plain(which circuit, const circuit_values& v, const double* hz, std::size_t count,
           std::complex<double>* out);
/// The same source, built with -fcx-limited-range: products and quotients without the rules for infinities.
void plain_limited(which circuit, const circuit_values& v, const double* hz, std::size_t count,
                   std::complex<double>* out);

/// The same formulas with real and imaginary parts by hand, into arrays of their own: what a compiler needs to vectorise.
void split(which circuit, const circuit_values& v, const double* hz, std::size_t count, double* re,
           double* im);
/// The same, worked over for speed: admittances and reciprocals where they save a division, dividers merged.
void split_tuned(which circuit, const circuit_values& v, const double* hz, std::size_t count, double* re,
                 double* im);

/// The five-part circuit alone, worked from the output back to the EMF in chain form: the fewest operations that were
/// found for it. Not impedances: whoever changes the wiring writes it anew.
void ladder(const circuit_values& v, const double* hz, std::size_t count, double* re, double* im);

/// Bare ratio of two polynomials of degree 2 and 4 by rising power, at s = jω/unit: what the five-part circuit comes
/// down to, as a loop.
void bare_ratio(const double* num, const double* den, double unit, const double* hz, std::size_t count,
                double* re, double* im);
/// The same with both of degree 4, the numerator filled with zeros.
void bare_ratio_padded(const double* num, const double* den, double unit, const double* hz, std::size_t count,
                       double* re, double* im);

} // namespace bench
