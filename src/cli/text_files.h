// SPDX-License-Identifier: Apache-2.0
//
// Files for the command line, part by part or whole; standard input under the name "-".
#pragma once

#include <cstddef>
#include <functional>
#include <string>
#include <string_view>

#include "base/result.h"

namespace nthtree::cli {

// Errors: cannot_read, too_long; `where` is the path.
base::Status each_part(const std::string& path, std::size_t bytes_max,
                       const std::function<void(std::string_view)>& take);
base::Result<std::string> read_text(const std::string& path, std::size_t bytes_max);

// Through a new file beside it that then takes its name, so that a full disk or a stop halfway
// leaves the old file whole. Error: cannot_write.
base::Status write_text(const std::string& path, const std::string& text);

}  // namespace nthtree::cli
