package org.holebook.app.carry

import org.holebook.core.ExchangeRun
import org.holebook.core.ExchangeWith
import org.holebook.core.Notebook
import org.holebook.core.NotebookException
import org.holebook.core.PairedShop
import org.holebook.core.SeenShop
import org.holebook.core.ShelfTrouble

/** Looks where shop computers are now. What it finds are addresses to try, no more: whether the right one is there, its key shows. */
fun interface Finder {
    /** Blocks for some seconds. */
    fun find(): List<SeenShop>
}

/**
 * The way home, gone once: exchanges with every shop computer that the phone is paired with. [run] blocks; another thread
 * may [stop] it, and what was moved by then stays.
 */
class Errand(open: () -> Notebook, private val finder: Finder) {
    /** How it ended. */
    enum class End {
        /** There is nothing to go for any more. */
        HOME,

        /** Somebody was not reached, or not to the end, or something was written meanwhile: later again. */
        LATER,

        /** The phone is paired with nobody. */
        NOBODY,
    }

    private enum class Met { DONE, AWAY, BROKEN_OFF, NOT_LET_IN }

    private val notebook by lazy(open) // by the thread that goes, for it may have to wait
    private var isStopped = false
    private var under: ExchangeRun? = null

    /** Goes. Shop computers that are not where they were are looked for, once. */
    fun run(): End {
        val shops = notebook.shops()
        if (shops.isEmpty()) return End.NOBODY
        var met = shops.associateWith(::meet)
        val away = met.filterValues { it == Met.AWAY }.keys
        if (away.isNotEmpty() && !stopped()) {
            notebook.seeShopsAt(finder.find())
            met = met + away.associateWith(::meet)
        }
        // Whoever does not let this phone in any more will not do so later either; the page of the exchange says it.
        val isDone = met.values.all { it == Met.DONE || it == Met.NOT_LET_IN }
        val isLeft = met.values.any { it == Met.DONE } && notebook.entriesToBringHome() > 0uL
        return if (isDone && !isLeft) End.HOME else End.LATER
    }

    /** Ends it soon. */
    @Synchronized
    fun stop() {
        isStopped = true
        under?.cancel()
    }

    @Synchronized
    private fun stopped() = isStopped

    private fun meet(shop: PairedShop): Met = try {
        begin(shop)?.use(::end) ?: Met.BROKEN_OFF
    } catch (error: NotebookException.Shelf) {
        when (error.trouble) {
            ShelfTrouble.NOT_THERE, ShelfTrouble.UNREACHABLE -> Met.AWAY
            ShelfTrouble.NOT_LET_IN -> Met.NOT_LET_IN
            ShelfTrouble.FULL, ShelfTrouble.NOT_WRITABLE, ShelfTrouble.FAILED -> Met.BROKEN_OFF
        }
    } catch (_: NotebookException) {
        Met.BROKEN_OFF
    }

    @Synchronized
    private fun begin(shop: PairedShop): ExchangeRun? {
        if (isStopped) return null
        return notebook.beginExchange(ExchangeWith.Shop(shop.id)).also { under = it }
    }

    private fun end(run: ExchangeRun): Met {
        while (!run.isOver()) Thread.sleep(PAUSE_MS)
        synchronized(this) { under = null }
        run.result()
        return Met.DONE
    }

    private companion object {
        /** Between two looks whether an exchange is over. */
        const val PAUSE_MS = 200L
    }
}
