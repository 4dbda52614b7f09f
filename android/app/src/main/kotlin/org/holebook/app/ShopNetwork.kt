package org.holebook.app

import android.content.Context
import android.net.ConnectivityManager
import android.net.Network
import android.net.NetworkCapabilities
import android.net.NetworkRequest

/**
 * The network that the phone shares with a shop computer: Wi-Fi, or a cable. Where it does not lead to the internet, Android
 * may send an app's connections by the mobile network instead, on which no shop computer is. So the app's own, of which
 * there are no others, are bound to it while somebody holds it.
 */
class ShopNetwork(context: Context) {
    private val connectivity: ConnectivityManager? = context.getSystemService(ConnectivityManager::class.java)
    private var holders = 0
    private var bound: Network? = null

    private val watch = object : ConnectivityManager.NetworkCallback() {
        override fun onAvailable(network: Network) = bind(network)
        override fun onLost(network: Network) = lose(network)
    }

    /** Binds the app to it, as soon as it is there; at once where it is [known]. Whoever holds it lets go of it. */
    @Synchronized
    fun hold(known: Network? = null) {
        holders += 1
        if (holders == 1) connectivity?.registerNetworkCallback(wanted(), watch)
        known?.let(::bind)
    }

    /** The last one to let go frees the app from it. */
    @Synchronized
    fun letGo() {
        holders -= 1
        if (holders > 0) return
        connectivity?.unregisterNetworkCallback(watch)
        free()
    }

    @Synchronized
    private fun bind(network: Network) {
        if (holders == 0) return // the watch's last word, on its way when the last one let go
        if (connectivity?.bindProcessToNetwork(network) == true) bound = network
    }

    @Synchronized
    private fun lose(network: Network) {
        if (network == bound) free()
    }

    private fun free() {
        connectivity?.bindProcessToNetwork(null)
        bound = null
    }

    companion object {
        /** Which networks a shop computer can be on, whether they lead to the internet or not. */
        fun wanted(): NetworkRequest = NetworkRequest.Builder()
            .addTransportType(NetworkCapabilities.TRANSPORT_WIFI)
            .addTransportType(NetworkCapabilities.TRANSPORT_ETHERNET)
            .removeCapability(NetworkCapabilities.NET_CAPABILITY_INTERNET)
            .build()
    }
}
