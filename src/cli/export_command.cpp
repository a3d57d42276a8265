// SPDX-License-Identifier: Apache-2.0
#include "cli/command.h"
namespace nthtree::cli {
const char* const export_help = "";
Outcome export_command(const Words&) { return refused("not yet"); }
}
