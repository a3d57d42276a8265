// SPDX-License-Identifier: Apache-2.0
//
// What the hub tells whoever looks after it: one line an event on the standard error, as
// `time=… level=… event=… name=value`, a value with blanks or quotes in quotes. No join code and no
// key ever stands in one.
//
//   log(Level::error, "backup_failed", {{"why", error.text()}});
#pragma once

#include <initializer_list>
#include <string>
#include <string_view>
#include <utility>

namespace nthtree::hub {

enum class Level { info, warning, error };

using Field = std::pair<std::string_view, std::string>;

void log(Level level, std::string_view event, std::initializer_list<Field> fields = {});
// The line without its time.
std::string log_text(Level level, std::string_view event, std::initializer_list<Field> fields);

}  // namespace nthtree::hub
