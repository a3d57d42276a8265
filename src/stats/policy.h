// SPDX-License-Identifier: Apache-2.0
//
// The one Boost.Math policy of this project; include it from .cpp files only, never from a header
// of ours, because Boost.Math takes seconds to compile.
//
// Errors set errno and give back NaN or infinity instead of throwing: the WebAssembly build has no
// exceptions. Callers check arguments first, so neither reaches a caller of ours. Doubles stay
// doubles: long double is slow software in WebAssembly and would make two builds differ.
#pragma once

#include <boost/math/policies/policy.hpp>

#include <type_traits>

namespace nthtree::stats {

namespace policies = boost::math::policies;

// What src/stats/CMakeLists.txt says, in the form that Boost's own functions bring every policy
// into before they call each other.
using Policy = policies::normalise<policies::policy<>, policies::promote_float<false>,
                                   policies::promote_double<false>, policies::discrete_quantile<>,
                                   policies::assert_undefined<>>::type;

template <class Setting, class Wanted>
constexpr bool is_set = std::is_same_v<Setting, Wanted>;
static_assert(is_set<Policy::domain_error_type, policies::domain_error<policies::errno_on_error>>);
static_assert(is_set<Policy::pole_error_type, policies::pole_error<policies::errno_on_error>>);
static_assert(
    is_set<Policy::overflow_error_type, policies::overflow_error<policies::errno_on_error>>);
static_assert(
    is_set<Policy::underflow_error_type, policies::underflow_error<policies::errno_on_error>>);
static_assert(is_set<Policy::denorm_error_type, policies::denorm_error<policies::errno_on_error>>);
static_assert(
    is_set<Policy::evaluation_error_type, policies::evaluation_error<policies::errno_on_error>>);
static_assert(
    is_set<Policy::rounding_error_type, policies::rounding_error<policies::errno_on_error>>);
static_assert(is_set<Policy::indeterminate_result_error_type,
                     policies::indeterminate_result_error<policies::errno_on_error>>);
static_assert(is_set<Policy::discrete_quantile_type,
                     policies::discrete_quantile<policies::integer_round_up>>);
static_assert(is_set<Policy::promote_float_type, policies::promote_float<false>>);
static_assert(is_set<Policy::promote_double_type, policies::promote_double<false>>);

}  // namespace nthtree::stats
