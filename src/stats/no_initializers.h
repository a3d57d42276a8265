// SPDX-License-Identifier: Apache-2.0
//
// Boost.Math calls some of its functions once before main, so that their constants are there before
// any thread asks for them. Doubles need none of that: their constants are worked out by the
// compiler. Left out, a start does not reckon them, and a phone need not have fetched them by then.
// Include it behind Boost's headers, before any of its functions is called.
#pragma once

#include <boost/math/special_functions/digamma.hpp>
#include <boost/math/special_functions/erf.hpp>
#include <boost/math/special_functions/expm1.hpp>
#include <boost/math/special_functions/gamma.hpp>
#include <boost/math/special_functions/log1p.hpp>
#include <boost/math/special_functions/trigamma.hpp>

#include "stats/policy.h"

namespace boost::math::detail {

struct NoInitializer {
  static void force_instantiate() {}
};

using nthtree::stats::Policy;
template <class Tag> struct erf_initializer<double, Policy, Tag> : NoInitializer {};
template <class Tag> struct expm1_initializer<double, Policy, Tag> : NoInitializer {};
template <class Tag> struct log1p_initializer<double, Policy, Tag> : NoInitializer {};
template <> struct erf_inv_initializer<double, Policy> : NoInitializer {};
template <> struct digamma_initializer<double, Policy> : NoInitializer {};
template <> struct trigamma_initializer<double, Policy> : NoInitializer {};
template <> struct igamma_initializer<double, Policy> : NoInitializer {};
template <> struct lgamma_initializer<double, Policy> : NoInitializer {};

}  // namespace boost::math::detail
