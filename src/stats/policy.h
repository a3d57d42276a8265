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

namespace nthtree::stats {

namespace policies = boost::math::policies;

using Policy = policies::policy<
    policies::domain_error<policies::errno_on_error>,
    policies::pole_error<policies::errno_on_error>,
    policies::overflow_error<policies::errno_on_error>,
    policies::underflow_error<policies::errno_on_error>,
    policies::denorm_error<policies::errno_on_error>,
    policies::evaluation_error<policies::errno_on_error>,
    policies::rounding_error<policies::errno_on_error>,
    policies::indeterminate_result_error<policies::errno_on_error>,
    policies::discrete_quantile<policies::integer_round_up>,
    policies::promote_float<false>, policies::promote_double<false>>;

}  // namespace nthtree::stats
