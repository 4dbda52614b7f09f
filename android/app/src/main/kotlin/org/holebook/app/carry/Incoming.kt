package org.holebook.app.carry

/** What other apps shared with the notebook, and what waits until a person says where it goes. */
class Incoming(private val photos: Basket, private val bundles: Basket) {
    /** Where what is of that kind waits. */
    fun of(kind: Kind): Basket = when (kind) {
        Kind.PHOTO -> photos
        Kind.BUNDLE -> bundles
    }

    /** Where that waits which a form takes in its field of that name; `null` where nothing does. */
    fun field(name: String): Kind? = Kind.entries.firstOrNull { it.word == name }
}
