// SPDX-License-Identifier: Apache-2.0
//
// Steps of `nthtree explain` that weigh two beliefs: this person counts as the crew does, or unlike
// it (advice/known/counting_bias.h).
#pragma once

#include "advice/worksheet/counting_sheet.h"
#include "advice/worksheet/standing_sheet.h"
#include "cli/worksheet.h"

namespace nthtree::cli {

// A counter's ratio, from their pairs and from what is believed of the crew.
void explain_ratio(const advice::CounterSheet& person, const advice::CountingBias& bias,
                   Worksheet& sheet);

// A pruner's level, own counts and the crew weighed by how sure each is; its chances.
void explain_together(const advice::PrunerSheet& pruner, double tolerance, Worksheet& sheet);

}  // namespace nthtree::cli
