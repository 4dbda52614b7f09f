package org.holebook.app.carry

import org.holebook.core.Pair
import org.holebook.core.Response

/** What the shell itself has to show and to do, at addresses under `/shell/`. */
interface Own {
    /** The shell's page at [address]; `null` where the address is the notebook's. */
    fun look(address: Address): Response?

    /** Does what a form of the shell's asks; `null` where the address is the notebook's. */
    fun change(address: Address, form: List<Pair>): Response?

    /** The shell's lines at the head of the page at [address], as HTML; empty where there is nothing to say. */
    fun strip(address: Address): String

    /** The shell's part at the end of the page at [address], as HTML; empty where there is none. */
    fun foot(address: Address): String
}
