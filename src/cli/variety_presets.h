// SPDX-License-Identifier: Apache-2.0
//
// Presets by variety for the commands: the shipped file with what a farm set in its ledger.
//
//   auto varieties = read_presets("assets/varieties.json", "scenarios/oxbow_lantern", "");
#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "orchard/varieties.h"

namespace nthtree::cli {

// ledger: a folder or file of records, or empty for the shipped values alone; at: as in load_farm.
// Errors: those of the files, of the records and of the varieties.
base::Result<std::vector<orchard::Variety>> read_presets(const std::string& file,
                                                         const std::string& ledger,
                                                         const std::string& at);

// Error unknown_choice with the names that are known; `where` is the field or argument.
base::Result<orchard::Variety> preset_of(const std::vector<orchard::Variety>& varieties,
                                         const std::string& name, const std::string& where);

}  // namespace nthtree::cli
