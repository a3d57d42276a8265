// SPDX-License-Identifier: Apache-2.0
//
// Reads and writes whole files for the command line; standard input under the name "-".
#pragma once

#include <cstddef>
#include <string>

#include "base/result.h"

namespace nthtree::cli {

// Errors: cannot_read, too_long; `where` is the path.
base::Result<std::string> read_text(const std::string& path, std::size_t bytes_max);

// Through a new file beside it that then takes its name, so that a full disk or a stop halfway
// leaves the old file whole. Error: cannot_write.
base::Status write_text(const std::string& path, const std::string& text);

}  // namespace nthtree::cli
