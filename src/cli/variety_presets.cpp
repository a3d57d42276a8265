// SPDX-License-Identifier: Apache-2.0
#include "cli/variety_presets.h"

#include "cli/season_files.h"
#include "cli/text_files.h"

namespace nthtree::cli {

base::Result<std::vector<orchard::Variety>> read_presets(const std::string& file,
                                                         const std::string& ledger,
                                                         const std::string& at) {
  const auto text = read_text(file, orchard::varieties_bytes_max);
  if (!text) return text.error();
  auto varieties = orchard::read_varieties(*text);
  if (!varieties) {
    base::Error error = varieties.error();
    error.where = file + (error.where.empty() ? "" : ": ") + error.where;
    return error;
  }
  if (ledger.empty()) return varieties;
  const auto farm = load_farm({ledger}, at, false);
  if (!farm) return farm.error();
  return orchard::with_changes(std::move(*varieties), farm->season.variety_changes());
}

base::Result<orchard::Variety> preset_of(const std::vector<orchard::Variety>& varieties,
                                         const std::string& name, const std::string& where) {
  if (const orchard::Variety* found = orchard::find_variety(varieties, name)) return *found;
  std::string known;
  for (const auto& one : varieties) known += (known.empty() ? "" : ", ") + one.name;
  return base::Error{"unknown_choice",
                     "\"" + name + "\" is not known: allowed are " + known, where};
}

}  // namespace nthtree::cli
